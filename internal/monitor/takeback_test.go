package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// The record alone says what is taken back: a reading that the estimate has
// not in it any more, since it began anew in a gap, goes all the same, the
// estimate stays as it is, and that is said.
func TestTakeBackAfterNewStart(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 30)
	s.surface(1, s.state.SkinK[1])
	must.Need(t, s.last.Stations[1].SurfaceK == s.m.snap.Stations[1].SurfaceK && !math.IsNaN(s.last.Stations[1].SurfaceK),
		"the reading is not shown: %+v", s.last.Stations[1])
	s.silence(250, 20_000)
	s.ms += 20_000
	s.absPa *= 0.6
	s.run(10, 0)
	if texts := eventsOf(&s.last, EventRestart); len(texts) == 0 || !strings.Contains(texts[len(texts)-1], "starts again") {
		t.Fatalf("the estimate did not start again: %q", texts)
	}
	before := s.last
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	texts := eventsOf(&s.last, EventEntry)
	text := texts[len(texts)-1]
	must.Be(t, strings.Contains(text, "taken back") && strings.Contains(text, "begun anew"), "told %q", text)
	if got := s.last.Stations[1].SurfaceK; !math.IsNaN(got) || s.last.HottestK != before.HottestK || s.last.BandK != before.BandK {
		t.Errorf("surface still %.2f K, hottest %.2f ± %.2f K, before %.2f ± %.2f K", got, s.last.HottestK, s.last.BandK, before.HottestK, before.BandK)
	}
}
