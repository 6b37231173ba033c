package monitor

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/phase"
)

// Rows that come every second, or every 30 s as from a table, have a ramp and
// a phase too.
func TestSlowData(t *testing.T) {
	t.Parallel()
	for _, periodMS := range []uint32{1000, 5000, 30_000} {
		s := newStand(t, onsetFarC)
		s.periodMS = periodMS
		s.hello()
		period := float64(periodMS) / 1000
		s.run(math.Max(10, 3*period), 0)
		got := s.run(math.Max(30, 5*period), 12*barPerMin)
		must.Be(t, math.Abs(got.RampPaS/(12*barPerMin)-1) <= 0.05 && got.Phase == phase.Filling,
			"every %g s: ramp %.2f bar/min, %s; want 12, filling", period, got.RampPaS/barPerMin, got.Phase)
		got = s.run(math.Max(30, 5*period), 0)
		must.Be(t, got.Phase == phase.Holding, "every %g s after the fill: %s", period, got.Phase)
		must.Be(t, math.Abs(got.GasK-s.state.GasK) <= 3, "every %g s: gas %.1f K, true %.1f K", period, got.GasK, s.state.GasK)
	}
}

// While gas flows, and for a while after, blocks are short; then long.
func TestBlockLengths(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	lengths := func(forS, rampPaS float64) float64 {
		least := math.Inf(1)
		before := s.m.est.Block().TimeS
		s.see = func(Snapshot) {
			if at := s.m.est.Block().TimeS; at > before {
				least, before = math.Min(least, at-before), at
			}
		}
		s.run(forS, rampPaS)
		s.see = nil
		return least
	}
	s.run(settlingS, 0)
	must.Near(t, "vented: blocks of s", lengths(10, 0), 1.0, 1e-6)
	s.run(3, 20*barPerMin)
	must.Near(t, "filling: blocks of s", lengths(10, 20*barPerMin), 0.2, 1e-6)
	s.run(3, 0)
	must.Near(t, "just after the fill: blocks of s", lengths(10, 0), 0.2, 1e-6)
	s.run(settlingS, 0)
	must.Near(t, "hold: blocks of s", lengths(10, 0), 1.0, 1e-6)
}
