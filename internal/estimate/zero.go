package estimate

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// ZeroWallK is two sigma of the hottest wall by what is not known of the zero:
// how far the peak of the hardest fill, from vented to the vessel's limit at its
// fastest, is off when all of it happens so much higher or lower. Gas that
// begins at less pressure is squeezed by more: dT = (δ/p) T (T − T₀)/T₀ (ideal
// gas that is filled without heat; the open system's first law).
func ZeroWallK(model *thermal.Model, params *thermal.Params, v *vessel.Profile, bandPa float64) float64 {
	if bandPa == 0 {
		return 0
	}
	ambientPa := float64(v.AmbientPressure)
	peakK := func(offPa float64) float64 {
		fromPa := math.Max(ambientPa+offPa, ambientLeastShare*ambientPa)
		riseS := float64(v.Limits.Pressure) / float64(v.Limits.RampMost)
		return model.Forecast(model.Uniform(ambientBlindK), params, fromPa, thermal.Plan{
			RampPaS: float64(v.Limits.RampMost), TargetPa: fromPa + float64(v.Limits.Pressure),
			HorizonS: riseS + zeroPeakedS, AmbientK: ambientBlindK,
		}, nil).PeakK
	}
	asReadK := peakK(0)
	return math.Max(math.Abs(peakK(-bandPa)-asReadK), math.Abs(peakK(bandPa)-asReadK))
}

// zeroPeakedS after a fill's end the wall has peaked.
const zeroPeakedS = 120.0
