package monitor

import (
	"fmt"
	"strings"
	"testing"

	"fillwright/internal/checklist"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// item is a line of the readiness list.
func item(t *testing.T, s *Snapshot, name string) checklist.Item {
	t.Helper()
	for _, i := range s.Ready {
		if i.Name == name {
			return i
		}
	}
	t.Fatalf("no item %q in %+v", name, s.Ready)
	return checklist.Item{}
}

func wantItem(t *testing.T, s *Snapshot, name string, state checklist.State, why string) {
	t.Helper()
	got := item(t, s, name)
	must.Be(t, got.State == state && strings.Contains(got.Why.String(), why), "%s is %d, %q; want %d, %q", name, got.State, got.Why, state, why)
}

// TestReadyList: before the fill every item says what was found; nothing is
// called ready that was not looked at.
func TestReadyList(t *testing.T) {
	t.Parallel()
	s := newStand(t, onsetFarC)
	first := s.hello()
	for _, i := range first.Ready {
		must.Be(t, i.State != checklist.Yes || i.Name == "target", "before the first reading %s is ready: %q", i.Name, i.Why)
	}
	s.run(10, 0)
	wantItem(t, &s.last, "sensors", checklist.Yes, "all 3")
	wantItem(t, &s.last, "offsets", checklist.No, "no offsets file")
	wantItem(t, &s.last, "zero", checklist.Yes, "0.25 bar")
	wantItem(t, &s.last, "surface", checklist.No, "sun, shade")
	wantItem(t, &s.last, "model", checklist.No, "handbook")
	wantItem(t, &s.last, "log", checklist.Unknown, "not known")
	wantItem(t, &s.last, "target", checklist.Yes, "40.0 bar")
	wantItem(t, &s.last, "wall", checklist.Yes, "advised ramp")

	s.surface(0, s.ambientK)
	wantItem(t, &s.last, "surface", checklist.No, "by hand: shade")
	s.surface(1, s.ambientK)
	s.run(2, 0)
	wantItem(t, &s.last, "surface", checklist.Yes, "")
	s.run(620, 0)
	wantItem(t, &s.last, "surface", checklist.No, "sun, shade")

	for _, c := range []struct {
		state wire.LinkState
		want  checklist.State
	}{
		{wire.LinkLogRoom, checklist.Yes}, {wire.LinkLogTight, checklist.No}, {wire.LinkLogNone, checklist.No}, {wire.LinkLogLost, checklist.No},
	} {
		s.step(wire.AppendLink(nil, 0, wire.Link{State: c.state, Text: "so it is"}))
		s.run(1.2, 0)
		wantItem(t, &s.last, "log", c.want, "")
	}
	s.dead[atGas] = true
	s.run(3, 0)
	wantItem(t, &s.last, "sensors", checklist.No, "channel 1")
	s.silence(250, 2000)
	wantItem(t, &s.last, "sensors", checklist.No, "cable")
}

// TestConfirmations: by hand, taken back by hand, and good for one fill only;
// the fill itself is never forbidden, only noted.
func TestConfirmations(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	for _, name := range []string{"people-clear", "relief-valve", "vent-line"} {
		wantItem(t, &s.last, name, checklist.Unknown, "confirm")
		s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: name})
		wantItem(t, &s.last, name, checklist.Yes, "confirmed")
	}
	s.entry(wire.Entry{Kind: wire.EntryWithdraw, Text: "vent-line"})
	wantItem(t, &s.last, "vent-line", checklist.Unknown, "")
	s.surface(0, s.state.SkinK[0]) // somebody is at the vessel to read it
	wantItem(t, &s.last, "people-clear", checklist.Unknown, "confirm")
	wantItem(t, &s.last, "relief-valve", checklist.Yes, "confirmed")
	s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: "people-clear"})
	s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: "nobody knows this"})
	if got := fmt.Sprint(eventsOf(&s.last, EventEntry)); !strings.Contains(got, "unknown item") {
		t.Errorf("an unknown item: %s", got)
	}
	s.fill(24*barPerMin, 10*testBar)
	must.Be(t, s.last.Ready == nil && s.last.Phase == phase.Filling, "phase %s with a list of %d", s.last.Phase, len(s.last.Ready))
	if got := fmt.Sprint(eventsOf(&s.last, EventPhase)); !strings.Contains(got, "still to do: offsets known and fresh") ||
		!strings.Contains(got, "vent line tested") || strings.Contains(got, "people clear") {
		t.Errorf("events: %s", got)
	}
	s.run(10, 0)
	s.run(60, -12*barPerMin)
	wantItem(t, &s.last, "people-clear", checklist.Unknown, "")
}

// TestReminders: due after its time, an advisory alarm until it is seen, then
// due again after its time; ended by 0; bounded in number.
func TestReminders(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "re-wet", Value: 60})
	s.run(55, 0)
	must.Need(t, !present(&s.last, "reminder"), "due too early")
	for round := range 2 {
		s.run(8, 0)
		a := find(&s.last, "reminder")
		must.Need(t, a != nil && a.Cause.String() == "re-wet", "round %d: alarms %+v", round, s.last.Alarms)
		s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		s.run(1, 0)
		must.Need(t, find(&s.last, "reminder") == nil, "round %d: stays after it was seen: %+v", round, s.last.Alarms)
		s.run(54, 0)
	}
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "re-wet"})
	s.run(120, 0)
	must.Be(t, find(&s.last, "reminder") == nil && len(s.last.Reminders) == 0, "ended, and still there: %+v", s.last.Reminders)
	for i := range 6 {
		s.entry(wire.Entry{Kind: wire.EntryRemind, Text: fmt.Sprint("what ", i), Value: 60})
	}
	s.entry(wire.Entry{Kind: wire.EntryRemind, Text: "what 0", Value: 3})
	if got := fmt.Sprint(eventsOf(&s.last, EventEntry)); len(s.last.Reminders) != RemindersMost || !strings.Contains(got, "are the most") || !strings.Contains(got, "every 10 s to") {
		t.Errorf("%d reminders; %s", len(s.last.Reminders), got)
	}
}
