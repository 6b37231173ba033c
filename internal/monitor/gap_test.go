package monitor

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/phase"
)

// A pressure that went elsewhere while no readings came says nothing of how
// the gas got there: the estimate starts again instead of expanding the gas to
// a cold that never was. A gap within a hold or a fill changes nothing.
func TestGapWithAnotherPressure(t *testing.T) {
	t.Parallel()
	said := func(s *Snapshot) bool {
		return slices.ContainsFunc(eventsOf(s, EventRestart), func(e string) bool { return strings.Contains(e, "starts again") })
	}
	s := held(t, onsetFarC, 30)
	s.silence(250, 6000)
	s.ms += 6000
	s.absPa = float64(s.profile.AmbientPressure)
	s.state = s.model.Uniform(295)
	after := s.run(2, 0)
	if !said(&after) {
		t.Errorf("no word of it: %q", eventsOf(&after, EventRestart))
	}
	must.Be(t, math.Abs(after.GasK-295) < 5 && after.Phase == phase.Vented,
		"gas %.1f K in an empty vessel of 295 K, phase %s", after.GasK, after.Phase)
	s = held(t, onsetFarC, 30)
	before := s.last
	s.silence(250, 6000)
	s.ms += 6000
	if after = s.run(2, 0); said(&after) || math.Abs(after.HottestK-before.HottestK) > 3 {
		t.Errorf("a gap in a hold: hottest %.1f K before, %.1f K after, events %q", before.HottestK, after.HottestK, eventsOf(&after, EventRestart))
	}
}

// After a gap in a fill the ramp is not known for two seconds. The abort rule goes on
// with what it was: no gap makes a valve shut. A fall whose rate is not known is none
// of nothing.
func TestRampNotKnown(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		phase   phase.Phase
		rampPaS float64
	}{{phase.Filling, 0.4e5}, {phase.Venting, -0.4e5}} {
		s := vented(t, onsetFarC)
		s.run(60, 0.4e5)
		if c.phase == phase.Venting {
			s.run(10, c.rampPaS)
		}
		before := s.last.RampPaS
		must.Need(t, s.last.Phase == c.phase && math.Abs(before/c.rampPaS-1) < 0.05, "%s at %.0f Pa/s", s.last.Phase, before)
		s.silence(250, 4000)
		for range 40 {
			s.pad(c.rampPaS)
		}
		unknown := 0
		s.see = func(now Snapshot) {
			if !math.IsNaN(now.RampPaS) || now.Phase != c.phase {
				return
			}
			unknown++
			if q := s.m.query(); c.phase == phase.Filling && q.RampPaS != before || c.phase == phase.Venting && !math.IsNaN(q.RampPaS) {
				t.Errorf("%s, ramp not known, %.0f Pa/s before: looks ahead with %.0f", c.phase, before, q.RampPaS)
			}
		}
		s.run(5, c.rampPaS)
		must.Be(t, unknown > 0 && math.Abs(s.last.RampPaS/c.rampPaS-1) < 0.1, "%s: %d steps without a ramp, %.0f Pa/s after", c.phase, unknown, s.last.RampPaS)
	}
}
