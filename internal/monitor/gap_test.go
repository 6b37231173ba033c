package monitor

import (
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"math"
	"slices"
	"strings"
	"testing"
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
