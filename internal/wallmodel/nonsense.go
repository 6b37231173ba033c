package wallmodel

import (
	"fmt"
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// A model's forecast for the usual fill of its vessel may lie so far from the
// handbook's: the wall's rise by a factor, with a little more where both are
// small. Common practice, no source: handbook values themselves hold to a
// factor of two (Incropera & DeWitt, on convection correlations: 25 % at best).
const (
	riseTimes  = 4.0
	riseSlackK = 3.0
	trialK     = 293.15 // a mild day, in the shade
	trialMostS = 3600.0
)

// CheckOn refuses a model that predicts nonsense on a vessel: its fill to the
// target at the fastest and at a slow ramp must come out near what handbook
// values say, and a faster fill must not be the cooler one.
func (l *Learned) CheckOn(file string, v *vessel.Profile, f thermal.Fluid) error {
	fast := float64(v.Limits.RampMost)
	slow := math.Max(float64(v.Limits.RampLeast), fast/10)
	var rises [2]float64
	for i, ramp := range []float64{slow, fast} {
		rise, usual := l.trialRise(v, f, ramp), Handbook().trialRise(v, f, ramp)
		least, most := usual/riseTimes-riseSlackK, usual*riseTimes+riseSlackK
		if !(rise >= least && rise <= most) {
			return wrongModel(file, fmt.Sprintf("on %q a fill to %.0f bar at %.0f bar/min would warm the wall by %.1f °C; possible is %.1f to %.1f °C",
				v.Name, float64(v.Fill.Target)/1e5, ramp*60/1e5, rise, math.Max(0, least), most))
		}
		rises[i] = rise
	}
	if rises[1] < rises[0]-riseSlackK {
		return wrongModel(file, fmt.Sprintf("on %q a fast fill would warm the wall by %.1f °C and a slow one by %.1f °C, which can't be",
			v.Name, rises[1], rises[0]))
	}
	return nil
}

// trialRise is by how much a fill from empty warms the hottest wall, K.
func (l *Learned) trialRise(v *vessel.Profile, f thermal.Fluid, rampPaS float64) float64 {
	m := thermal.NewModel(v, f, l.Variant.Cells)
	ambient := float64(v.AmbientPressure)
	run := m.Forecast(m.Uniform(trialK), &l.Params, ambient, thermal.Plan{
		RampPaS: rampPaS, TargetPa: ambient + float64(v.Fill.Target), HorizonS: trialMostS, AmbientK: trialK, UntilPeak: true,
	}, nil)
	return run.PeakK - trialK
}
