package phase

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

const bar, barMin = 1e5, 1e5 / 60

// A phase begins when both ramp and flow say so, clear of the ramp's noise, goes
// on at half of what began it, and an unknown ramp begins none.
func TestNext(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		name             string
		was              Phase
		bar, ramp, sigma float64 // ramps in bar/min
		flow             float64
		want             Phase
	}{
		{"nothing flows, empty", Unknown, 0, 0, 0, 0, Vented},
		{"nothing flows, full", Unknown, 20, 0, 0, 0, Holding},
		{"gas comes in", Vented, 0.1, 24, 0, 24, Filling},
		{"ramp within its noise", Holding, 20, 24, 6, 24, Holding},
		{"ramp without flow: gas that warms", Holding, 20, 2, 0, 0, Holding},
		{"flow without ramp", Holding, 20, 0, 0, 2, Holding},
		{"slower than what begins a fill", Holding, 20, 0.6, 0, 0.6, Holding},
		{"but it goes on", Filling, 20, 0.6, 0, 0.6, Filling},
		{"until it is slower yet", Filling, 20, 0.3, 0, 0.3, Holding},
		{"noise does not end it", Filling, 20, 24, 6, 24, Filling},
		{"no noise brings an empty vessel to a hold", Vented, 0.7, 24, 6, 24, Filling},
		{"gas leaves", Holding, 20, -12, 0, -12, Venting},
		{"gas cools: the pressure falls, nothing flows", Holding, 20, -5, 0, -0.5, Holding},
		{"emptied", Venting, 0.2, -1, 0, -1, Vented},
		{"a little air is no hold", Vented, 0.5, 0, 0, 0, Vented},
		{"ramp not known in a fill", Filling, 20, nan, 0, nan, Filling},
		{"ramp not known in a vent", Venting, 20, nan, 0, nan, Venting},
		{"ramp not known, empty", Venting, 0.1, nan, 0, nan, Vented},
		{"ramp not known else", Vented, 20, nan, 0, nan, Holding},
	} {
		w := Watch{FilledS: math.Inf(-1)}
		f := Facts{TimeS: 1000, PressurePa: c.bar * bar, RampPaS: c.ramp * barMin, RampSigma: c.sigma * barMin, RampWindowS: 3, FlowPaS: c.flow * barMin, GasWarm: true}
		must.Equal(t, w.Next(c.was, f), c.want, "%s", c.name)
	}
}

// Gas that was just shut in cools faster than any vent, down to what it settles
// to: only what falls under that has left.
func TestCoolingIsNoVent(t *testing.T) {
	t.Parallel()
	w := Watch{FilledS: 1000, SettledPa: 18 * bar}
	f := Facts{TimeS: 1010, PressurePa: 19 * bar, RampPaS: -12 * barMin, FlowPaS: -12 * barMin, RampWindowS: 3, GasWarm: true}
	must.Equal(t, w.Next(Holding, f), Holding, "cooling after a fill")
	f.PressurePa = 17 * bar
	must.Equal(t, w.Next(Holding, f), Venting, "under what the gas cools to")
	f.PressurePa, f.TimeS = 19*bar, 1000+StirredS
	must.Equal(t, w.Next(Holding, f), Venting, "once the gas is at rest")
}

// A vent that gets slow goes on while the pressure falls, and ends when it rises
// or has stood still.
func TestVentEnds(t *testing.T) {
	t.Parallel()
	w := Watch{FilledS: math.Inf(-1)}
	step := func(was Phase, atS, atBar, ramp float64) Phase {
		return w.Next(was, Facts{TimeS: atS, PressurePa: atBar * bar, RampPaS: ramp * barMin, FlowPaS: ramp * barMin, RampWindowS: 3})
	}
	p := step(Holding, 0, 10, -12)
	for i := 1; i <= 60; i++ {
		p = step(p, float64(i), 10-0.03*float64(i), -0.2)
		must.Need(t, p == Venting, "%d s into a slow vent: %s", i, p)
	}
	must.Equal(t, step(p, 61, 8.2, 0.5), Holding, "a pressure that rises")
	for i := 61; i < 79; i++ {
		p = step(p, float64(i), 8.2, 0)
		must.Need(t, p == Venting, "%d s: %s", i, p)
	}
	must.Equal(t, step(p, 81, 8.2, 0), Holding, "a pressure that has stood for 20 s")
}
