package mimic

import "math"

// wrap is a wet cloth round the vessel. What evaporates takes its heat from the
// skin by the psychrometer's formula, which a wet bulb obeys:
//
//	q = h_c (e_w(T) − e_a)/(A p), A = 6.62e-4 /K
//
// (WMO Guide to Instruments, from memory), so that in the wind and without
// radiation the skin comes to the wet bulb. Once its water is gone it is a cloth of
// the paint's colour. It is kept wet until the run begins.
type wrap struct {
	kgM2   [anglesN]float64 // water left
	airPa  float64          // vapour in the air
	perK   float64          // A p
	kept   bool
	soaked bool // there is a wrap at all
}

const (
	psychrometerPerK = 6.62e-4
	latentJKg        = 2.43e6 // of water at some 30 °C (steam tables, from memory)
)

func newWrap(t *Truth) wrap {
	w := wrap{airPa: t.Weather.Humidity * vapourPa(t.Weather.AmbientK), perK: psychrometerPerK * t.AmbientPa, kept: true, soaked: t.WrapKgM2 > 0}
	for j := range w.kgM2 {
		w.kgM2[j] = t.WrapKgM2
	}
	return w
}

// vapourPa is the pressure of water vapour over water (Magnus' formula with the
// constants of the WMO Guide, from memory).
func vapourPa(tempK float64) float64 {
	c := tempK - 273.15
	return 611.2 * math.Exp(17.62*c/(243.12+c))
}

// takesWM2 is the heat that station j's skin loses by what evaporates, at an
// outside convection.
func (w *wrap) takesWM2(j int, skinK, convectionWM2K float64) float64 {
	if !w.soaked || w.kgM2[j] <= 0 {
		return 0
	}
	return convectionWM2K * math.Max(0, vapourPa(skinK)-w.airPa) / w.perK
}

// dry takes what evaporated off the water of station j.
func (w *wrap) dry(j int, tookWM2, dt float64) {
	if !w.kept {
		w.kgM2[j] -= tookWM2 / latentJKg * dt
	}
}
