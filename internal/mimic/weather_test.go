package mimic

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// TestGroundSendsLightBack proves the sunlight on an element against ASHRAE's terms for
// a tilted face (Fundamentals, E_r = 0.2 (E_b sin β + E_d)(1 − cos Σ)/2, reflectance
// from memory): a face that looks down gets a fifth of all the light on level ground,
// the beam's as well as the sky's, one that looks up nothing from there.
func TestGroundSendsLightBack(t *testing.T) {
	const high, diffuse, sun = 0.7, 0.12, 800.0
	s := sky{w: Weather{SunHighRad: high, Diffuse: diffuse}}
	a := air{sunWM2: sun}
	level := sun * ((1-diffuse)*math.Sin(high) + diffuse)
	must.Near(t, "looks down", s.absorbedWM2(a, -math.Pi/2, 1), 0.2*level, 1e-9)
	must.Near(t, "looks up", s.absorbedWM2(a, math.Pi/2, 1), level, 1e-9)
	must.Near(t, "level, away from the sun", s.absorbedWM2(a, math.Pi, 1), 0.5*(sun*diffuse+0.2*level), 1e-9)
}

// TestWindRoundAVessel proves the outside film round a cylinder against what is known of
// it at a Reynolds number of 10⁴: a stagnation line of 1.14 Re^0.5 Pr^0.4 (Incropera,
// from memory) over this mean, half where the flow leaves, the mean as it was.
func TestWindRoundAVessel(t *testing.T) {
	w := Weather{WindUneven: 1, WindFromRad: 0.4}
	const re = 1e4
	mean := 0.3 + 0.62*math.Sqrt(re)*math.Cbrt(prandtl)/math.Pow(1+math.Pow(0.4/prandtl, 2.0/3), 0.25)*math.Pow(1+math.Pow(re/282000, 0.625), 0.8)
	front := 1.14 * math.Sqrt(re) * math.Pow(prandtl, 0.4) / mean
	must.Near(t, "in front", w.windAt(0.4), front, 0.1*front)
	least, sum := math.Inf(1), 0.0
	for i := range 360 {
		x := w.windAt(float64(i) * math.Pi / 180)
		least, sum = math.Min(least, x), sum+x
	}
	must.Near(t, "where the flow leaves", least, 0.5, 0.1)
	must.Near(t, "mean", sum/360, 1, 1e-9)
	must.Near(t, "even", (&Weather{}).windAt(1), 1, 0)
}
