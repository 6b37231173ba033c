package monitor

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// On a tight hold of the pad no leak is called; when gas goes, its rate is
// found to within its band and it is called within three minutes.
func TestLeakOnHold(t *testing.T) {
	t.Parallel()
	for _, lossGMin := range []float64{0, 6} {
		s := vented(t, onsetFarC)
		s.fill(24*barPerMin, 38*testBar)
		calledS := math.NaN()
		start := s.last.TimeS
		for n := 0; n < 1800; n++ {
			s.sampleOf()
			s.pad(0)
			// What leaks takes its share of the pressure with it.
			mass := s.model.MassKg(s.state.GasK, s.absPa)
			s.absPa *= 1 - lossGMin/6e4*0.1/mass
			if s.last.Leak.Significant && math.IsNaN(calledS) {
				calledS = s.last.TimeS - start
			}
		}
		l := s.last.Leak
		must.Be(t, math.Abs(l.RateKgS*6e4-lossGMin) <= l.BandKgS*6e4, "losing %g g/min: found %.2f ± %.2f", lossGMin, l.RateKgS*6e4, l.BandKgS*6e4)
		called := !math.IsNaN(calledS)
		must.Be(t, called == (lossGMin > 0) && !(calledS > 180), "losing %g g/min: called after %.0f s", lossGMin, calledS)
		must.Be(t, lossGMin <= 0 || present(&s.last, "leak"), "losing %g g/min: no alarm: %+v", lossGMin, s.last.Alarms)
	}
}

// Another phase makes what was found of the hold before unknown.
func TestLeakUnknownInFill(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 90)
	must.Need(t, !math.IsNaN(s.last.Leak.RateKgS), "no rate after 90 s of hold")
	s.run(10, 24*barPerMin)
	l := s.last.Leak
	must.Be(t, math.IsNaN(l.RateKgS) && math.IsNaN(l.BandKgS) && !l.Significant, "while filling: %+v", l)
}
