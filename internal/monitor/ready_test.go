package monitor

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/wire"
)

// item is a line of the readiness list.
func item(t *testing.T, s *Snapshot, name string) ReadyItem {
	t.Helper()
	for _, i := range s.Ready {
		if i.Name == name {
			return i
		}
	}
	t.Fatalf("no item %q in %+v", name, s.Ready)
	return ReadyItem{}
}

func wantItem(t *testing.T, s *Snapshot, name string, state ReadyState, why string) {
	t.Helper()
	if got := item(t, s, name); got.State != state || !strings.Contains(got.Why.String(), why) {
		t.Errorf("%s is %d, %q; want %d, %q", name, got.State, got.Why, state, why)
	}
}

// TestReadyList: before the fill every item says what was found; nothing is
// called ready that was not looked at.
func TestReadyList(t *testing.T) {
	t.Parallel()
	s := newStand(t, onsetFarC)
	first := s.hello()
	for _, i := range first.Ready {
		if i.State == ReadyYes && i.Name != "target" {
			t.Errorf("before the first reading %s is ready: %q", i.Name, i.Why)
		}
	}
	s.run(10, 0)
	wantItem(t, &s.last, "sensors", ReadyYes, "all 3")
	wantItem(t, &s.last, "offsets", ReadyNo, "no offsets file")
	wantItem(t, &s.last, "zero", ReadyYes, "0.25 bar")
	wantItem(t, &s.last, "surface", ReadyNo, "sun, shade")
	wantItem(t, &s.last, "model", ReadyNo, "handbook")
	wantItem(t, &s.last, "log", ReadyUnknown, "not known")
	wantItem(t, &s.last, "target", ReadyYes, "40.0 bar")
	wantItem(t, &s.last, "wall", ReadyYes, "advised ramp")

	s.surface(0, s.ambientK)
	wantItem(t, &s.last, "surface", ReadyNo, "by hand: shade")
	s.surface(1, s.ambientK)
	s.run(2, 0)
	wantItem(t, &s.last, "surface", ReadyYes, "")
	s.run(620, 0)
	wantItem(t, &s.last, "surface", ReadyNo, "sun, shade")

	for _, c := range []struct {
		state wire.LinkState
		want  ReadyState
	}{
		{wire.LinkLogRoom, ReadyYes}, {wire.LinkLogTight, ReadyNo}, {wire.LinkLogNone, ReadyNo}, {wire.LinkLogLost, ReadyNo},
	} {
		s.step(wire.AppendLink(nil, 0, wire.Link{State: c.state, Text: "so it is"}))
		s.run(1.2, 0)
		wantItem(t, &s.last, "log", c.want, "")
	}
	s.dead[atGas] = true
	s.run(3, 0)
	wantItem(t, &s.last, "sensors", ReadyNo, "channel 1")
	s.silence(250, 2000)
	wantItem(t, &s.last, "sensors", ReadyNo, "cable")
}

// TestReadyZero: a vessel that reads more than the sensor's zero may be wrong
// by is not called vented.
func TestReadyZero(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.absPa += 0.28e5
	s.run(3, 0)
	s.absPa = float64(s.profile.AmbientPressure) + 0.28e5
	s.sampleOf()
	s.run(2, 0)
	if got := item(t, &s.last, "zero"); got.State == ReadyYes && s.last.PressurePa > 0.25e5 {
		t.Errorf("%.2f bar counts as zero: %+v", s.last.PressurePa/1e5, got)
	}
}

// TestConfirmations: by hand, taken back by hand, and good for one fill only;
// the fill itself is never forbidden, only noted.
func TestConfirmations(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	for _, name := range []string{"people-clear", "relief-valve", "vent-line"} {
		wantItem(t, &s.last, name, ReadyUnknown, "confirm")
		s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: name})
		wantItem(t, &s.last, name, ReadyYes, "confirmed")
	}
	s.entry(wire.Entry{Kind: wire.EntryWithdraw, Text: "vent-line"})
	wantItem(t, &s.last, "vent-line", ReadyUnknown, "")
	s.surface(0, s.state.SkinK[0]) // somebody is at the vessel to read it
	wantItem(t, &s.last, "people-clear", ReadyUnknown, "confirm")
	wantItem(t, &s.last, "relief-valve", ReadyYes, "confirmed")
	s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: "people-clear"})
	s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: "nobody knows this"})
	if got := fmt.Sprint(eventsOf(&s.last, EventEntry)); !strings.Contains(got, "unknown item") {
		t.Errorf("an unknown item: %s", got)
	}
	s.fill(24*barPerMin, 10*testBar)
	if s.last.Ready != nil || s.last.Phase != phase.Filling {
		t.Errorf("phase %s with a list of %d", s.last.Phase, len(s.last.Ready))
	}
	if got := fmt.Sprint(eventsOf(&s.last, EventPhase)); !strings.Contains(got, "still to do: offsets known and fresh") ||
		!strings.Contains(got, "vent line tested") || strings.Contains(got, "people clear") {
		t.Errorf("events: %s", got)
	}
	s.run(10, 0)
	s.run(60, -12*barPerMin)
	wantItem(t, &s.last, "people-clear", ReadyUnknown, "")
}

// TestReadyOffsets: none for this logger, old, undated, from the future, and fresh.
func TestReadyOffsets(t *testing.T) {
	t.Parallel()
	today := time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)
	date := func(days int) string { return today.AddDate(0, 0, days).Format("2006-01-02") }
	for _, c := range []struct {
		board uint64
		dates []string
		state ReadyState
		why   string
	}{
		{7, []string{date(0), date(-1)}, ReadyYes, "1 days old"},
		{7, []string{date(0), date(-8)}, ReadyNo, "8 days old"},
		{7, []string{date(0), ""}, ReadyUnknown, "no date"},
		{7, []string{date(0), date(3)}, ReadyYes, "0 days"},
		{7, []string{date(3), date(3)}, ReadyNo, "future"},
		{7, []string{date(0)}, ReadyNo, "channel 1"},
		{8, []string{date(0), date(0)}, ReadyNo, "channel 0"},
	} {
		p := testProfile(t, onsetFarC, "")
		p.Channels[0].Kind, p.Channels[1].Kind = "loop", "K"
		off := &probe.Offsets{}
		for i, d := range c.dates {
			off.List = append(off.List, probe.Offset{Board: c.board, Channel: i, Date: d})
		}
		m := New(Config{Profile: p, Offsets: off})
		m.snap.Link.Board, m.snap.Link.BoardKnown, m.snap.UnixMS = 7, true, today.UnixMilli()
		if got := m.readyOffsets(); got.State != c.state || !strings.Contains(got.Why.String(), c.why) {
			t.Errorf("board %d, dates %v: %d, %q; want %d, %q", c.board, c.dates, got.State, got.Why, c.state, c.why)
		}
	}
}

// TestReminders: due after its time, an advisory alarm until it is seen, then
// due again after its time; ended by 0; bounded in number.
func TestReminders(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "re-wet", Value: 60})
	s.run(55, 0)
	if present(&s.last, "reminder") {
		t.Fatal("due too early")
	}
	for round := range 2 {
		s.run(8, 0)
		a := find(&s.last, "reminder")
		if a == nil || a.Cause.String() != "re-wet" {
			t.Fatalf("round %d: alarms %+v", round, s.last.Alarms)
		}
		s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		s.run(1, 0)
		if find(&s.last, "reminder") != nil {
			t.Fatalf("round %d: stays after it was seen: %+v", round, s.last.Alarms)
		}
		s.run(54, 0)
	}
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "re-wet"})
	s.run(120, 0)
	if find(&s.last, "reminder") != nil || len(s.last.Reminders) != 0 {
		t.Errorf("ended, and still there: %+v", s.last.Reminders)
	}
	for i := range 6 {
		s.entry(wire.Entry{Kind: wire.EntryRemind, Text: fmt.Sprint("what ", i), Value: 60})
	}
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "what 0", Value: 3})
	if got := fmt.Sprint(eventsOf(&s.last, EventEntry)); len(s.last.Reminders) != RemindersMost || !strings.Contains(got, "are the most") || !strings.Contains(got, "every 10 s to") {
		t.Errorf("%d reminders; %s", len(s.last.Reminders), got)
	}
}
