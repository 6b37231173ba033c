package monitor

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// wallsOf are the numbers of the estimate, bit for bit.
func wallsOf(s *Snapshot) string {
	out := fmt.Sprint(s.GasK, s.GasBandK, s.HottestK, s.BandK, s.MarginK, s.GasMassKg, s.Hottest)
	for _, st := range s.Stations {
		out += fmt.Sprint(" ", st.Name, st.OuterK, st.InnerK, st.HottestK, st.BandK, st.OutsideK, st.SurfaceK, st.SurfaceS)
	}
	return out
}

// A hand-held reading pulls its station towards it and narrows its band.
func TestSurfaceAccepted(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	before := s.last
	want := before.Stations[0].OuterK + 6
	got := s.surface(0, want)
	if st := got.Stations[0]; math.Abs(st.OuterK-want) > 2 || st.BandK >= before.Stations[0].BandK || math.Abs(st.SurfaceK-want) > 1e-3 || st.SurfaceS != got.TimeS {
		t.Errorf("read %.2f K: %+v, before %+v", want, st, before.Stations[0])
	}
	must.Be(t, got.Model.Fresh, "the advice was not renewed at the reading")
	texts := eventsOf(&got, EventEntry)
	must.Be(t, len(texts) == 1 && strings.Contains(texts[0], "surface sun read"), "events %q", texts)
}

// A reading that can't be, one of a station that there is not, and one before
// anything is known are said to be so and leave the wall as it was. One that can't
// be stands as a caution, keeps the margin from the hotter of the two and lets no
// gas in, until it is read again or taken back.
func TestSurfaceImpossible(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	before := s.last
	walls := func(s *Snapshot) string {
		out := ""
		for _, st := range s.Stations {
			out += fmt.Sprint(" ", st.OuterK, st.InnerK, st.HottestK, st.BandK)
		}
		return out
	}
	for _, c := range []struct {
		station uint8
		surface float64
		says    string
	}{{0, 500, "not used: sun"}, {1, 150, "not used: sun"}, {2, 300, "unknown station"}, {255, 300, "unknown station"}} {
		got := s.surface(c.station, c.surface)
		texts := eventsOf(&got, EventEntry)
		if !strings.Contains(texts[len(texts)-1], c.says) {
			t.Errorf("station %d, %g K: %q", c.station, c.surface, texts[len(texts)-1])
		}
		after := walls(&got)
		must.Be(t, after == walls(&before), "station %d, %g K changed the estimate:\n%s\n%s", c.station, c.surface, walls(&before), after)
	}
	got := s.last
	must.Be(t, present(&got, alarm.Unsettled), "no caution while a reading is not settled")
	want := onsetFarC + zeroCK - 500
	must.Be(t, math.Abs(got.MarginK-want) <= 1e-9, "margin %.1f K, want %.1f from the hotter of reading and estimate", got.MarginK, want)
	must.Be(t, !got.Advice.Verdict.AsksForGas(), "verdict %v with a reading of 227 °C that is not settled", got.Advice.Verdict)
	s.surface(0, before.Stations[0].OuterK) // read again
	got = s.surface(1, before.Stations[1].OuterK)
	if s.run(1, 0); present(&s.last, alarm.Unsettled) || s.last.MarginK < 0 {
		t.Errorf("read again: alarm %v, margin %.1f K", present(&s.last, alarm.Unsettled), got.MarginK)
	}
	early := newStand(t, onsetFarC)
	if got := early.surface(0, 300); !strings.Contains(eventsOf(&got, EventEntry)[0], "ignored") {
		t.Errorf("before a reading: %q", eventsOf(&got, EventEntry))
	}
}

// A colder reading waits for a second one, and says so; the second counts.
func TestSurfaceColder(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	for range 4 {
		s.surface(0, 312)
		s.surface(1, 300)
		s.run(20, 0)
	}
	was := s.last.Stations[0].OuterK
	got := s.surface(0, was-11)
	if !present(&got, alarm.Unsettled) || got.Stations[0].OuterK != was {
		t.Errorf("first colder reading: caution %v, wall %.2f K, was %.2f", present(&got, alarm.Unsettled), got.Stations[0].OuterK, was)
	}
	s.run(5, 0)
	got = s.surface(0, was-11)
	if s.run(1, 0); present(&s.last, alarm.Unsettled) || !(math.Abs(got.Stations[0].OuterK-was+11) < 3) {
		t.Errorf("second: caution %v, wall %.2f K, read %.2f", present(&s.last, alarm.Unsettled), got.Stations[0].OuterK, was-11)
	}
}

// Taking a reading back gives the very estimates of a run without it, right
// away and after a minute, and the reading before it stays.
func TestUndo(t *testing.T) {
	t.Parallel()
	for _, laterS := range []float64{0, 30} {
		for _, earlier := range []bool{false, true} {
			with, without := vented(t, onsetFarC), vented(t, onsetFarC)
			if earlier {
				with.surface(0, 297)
				without.surface(0, 297)
			}
			with.run(2, 0)
			without.run(2, 0)
			with.surface(0, 299)
			if laterS > 0 {
				with.run(laterS, 20*barPerMin)
				without.run(laterS, 20*barPerMin)
				must.Need(t, wallsOf(&with.last) != wallsOf(&without.last), "the reading had no effect")
			}
			with.surface(0, 900) // can't be; taken back first
			with.entry(wire.Entry{Kind: wire.EntryUndo})
			with.entry(wire.Entry{Kind: wire.EntryUndo})
			if laterS == 0 { // estimates are drawn up with the next block
				with.run(1, 0)
				without.run(1, 0)
			}
			if a, b := wallsOf(&with.last), wallsOf(&without.last); a != b {
				t.Errorf("undo after %g s, earlier reading %v:\n%s\n%s", laterS, earlier, a, b)
			}
			with.run(20, 0)
			without.run(20, 0)
			if a, b := wallsOf(&with.last), wallsOf(&without.last); a != b {
				t.Errorf("undo after %g s, earlier reading %v, 20 s later:\n%s\n%s", laterS, earlier, a, b)
			}
		}
	}
}

// However many were read and taken back before, each of the last that stand
// comes off, the newest first, and the station shows the one before it.
func TestUndoAllThatStand(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	k := func(i int) float64 { return 296 + 0.125*float64(i) }
	read := func(from, to int) {
		for i := from; i < to; i++ {
			s.surface(0, k(i))
		}
	}
	back := func(from, to int) {
		for i := from; i > to; i-- {
			s.entry(wire.Entry{Kind: wire.EntryUndo})
			want := k(i - 2)
			if got := s.last.Stations[0].SurfaceK; math.Abs(got-want) > 1e-3 && !(i == 1 && math.IsNaN(got)) {
				t.Fatalf("reading %d taken back: the station shows %.3f K, want %.3f", i, got, want)
			}
		}
	}
	read(0, wire.UndoMost)
	back(wire.UndoMost, wire.UndoMost/2)
	read(wire.UndoMost/2, wire.UndoMost)
	back(wire.UndoMost, 0)
}

// A reading can be taken back once, and only for so long; then it is said.
func TestUndoNothing(t *testing.T) {
	t.Parallel()
	last := func(s *stand) string {
		texts := eventsOf(&s.last, EventEntry)
		return texts[len(texts)-1]
	}
	s := vented(t, onsetFarC)
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	must.Be(t, strings.Contains(last(s), "nothing to undo"), "no reading: %q", last(s))
	s.surface(1, 296)
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	must.Be(t, strings.Contains(last(s), "taken back"), "one reading: %q", last(s))
	before := wallsOf(&s.last)
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	must.Be(t, strings.Contains(last(s), "nothing to undo") && wallsOf(&s.last) == before, "twice: %q", last(s))
	s.surface(1, 296)
	s.silence(250, 1000*(wire.UndoMostS+1))
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	must.Be(t, strings.Contains(last(s), "nothing to undo"), "after %g s: %q", wire.UndoMostS, last(s))
}

// A target within the limit is taken, one above it or below zero refused.
func TestTarget(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	for _, c := range []struct{ bar, want float64 }{{30, 30}, {50, 50}, {50.1, 50}, {-1, 50}, {0, 50}, {12, 12}} {
		got := s.entry(wire.Entry{Kind: wire.EntryTarget, Value: int32(math.Round(c.bar * testBar))})
		must.Be(t, math.Abs(got.TargetPa-c.want*testBar) <= 1, "target %g bar entered: %g bar in force, want %g", c.bar, got.TargetPa/testBar, c.want)
		texts := eventsOf(&got, EventEntry)
		if refused := strings.Contains(texts[len(texts)-1], "refused"); refused != (c.bar != c.want) {
			t.Errorf("target %g bar: %q", c.bar, texts[len(texts)-1])
		}
	}
	if got := s.run(40, 24*barPerMin); !present(&got, "target-reached") {
		t.Errorf("%.1f bar with a target of 12: %+v", got.PressurePa/testBar, got.Alarms)
	}
}

// What was turned down is marked as such, whatever its words are; what was taken
// is not, and an accepted alarm is named.
func TestRefusedIsMarked(t *testing.T) {
	s := vented(t, onsetFarC)
	entry := func(kind wire.EntryKind, text string, value int32, station uint8) wire.Entry {
		return wire.Entry{Kind: kind, Text: text, Value: value, Station: station}
	}
	for _, c := range []struct {
		e        wire.Entry
		refused  bool
		accepted string
	}{
		{entry(wire.EntryMark, "wind ignored, fill refused", 0, 0), false, ""},
		{entry(wire.EntryMark, "acknowledged: all alarms", 0, 0), false, ""},
		{entry(wire.EntryAcknowledge, "", 0, 0), false, AllAlarms},
		{entry(wire.EntryAcknowledge, "wall-over", 0, 0), false, "wall-over"},
		{entry(wire.EntryTarget, "", int32(51*testBar), 0), true, ""},
		{entry(wire.EntryTarget, "", int32(30*testBar), 0), false, ""},
		{entry(wire.EntrySurface, "", 20_000, 9), true, ""},
		{entry(wire.EntrySurface, "", 250_000, 0), true, ""},
		{entry(wire.EntryUndo, "", 0, 0), false, ""},
		{entry(wire.EntryUndo, "", 0, 0), true, ""},
		{entry(wire.EntryConfirm, "vent-line", 0, 0), false, ""},
		{entry(wire.EntryConfirm, "nobody knows this", 0, 0), true, ""},
		{entry(wire.EntryWithdraw, SecondLook, 0, 0), true, ""},
		{entry(wire.EntryRemind, "", 60, 0), true, ""},
		{entry(wire.EntryRemind, "ignored hose", 60, 0), false, ""},
		{entry(wire.EntryRemind, "hose", 1, 0), true, ""},
		{entry(wire.EntryRemind, "no such", 0, 0), true, ""},
	} {
		got := s.entry(c.e)
		at := len(got.Events) - 1
		for got.Events[at].Kind != EventEntry { // an alarm may follow
			at--
		}
		if e := got.Events[at]; e.Refused != c.refused || e.Accepted != c.accepted {
			t.Errorf("%q: refused %v, accepted %q", e.Text, e.Refused, e.Accepted)
		}
	}
}

// Acknowledging by name takes that alarm alone.
func TestAcknowledge(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.dead[atAmbient] = true
	s.absPa = float64(s.profile.AmbientPressure) + 51*testBar
	for range 30 {
		s.sampleOf()
		s.ms += s.periodMS
	}
	s.entry(wire.Entry{Kind: wire.EntryAcknowledge, Text: "pressure-over"})
	if a, b := find(&s.last, "pressure-over"), find(&s.last, "sensor-ill"); a == nil || b == nil || a.State.String() != "acknowledged" || b.State.String() != "unacknowledged" {
		t.Errorf("%+v %+v", a, b)
	}
	s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
	if b := find(&s.last, "sensor-ill"); b == nil || b.State.String() != "acknowledged" {
		t.Errorf("%+v", b)
	}
}
