package lines

import (
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

func linesAt(l *Lines, t wire.Type, timeS float64, change func(*monitor.Snapshot)) []string {
	s := monitor.Snapshot{}
	s.TimeS = timeS
	if change != nil {
		change(&s)
	}
	out := strings.TrimSuffix(string(l.Append(nil, t, &s)), "\n")
	if out == "" {
		return nil
	}
	return strings.Split(out, "\n")
}

// One status line a second of session time, on whole seconds, from samples and
// silences alone.
func TestLinesAreThinned(t *testing.T) {
	l := &Lines{EveryS: 1}
	var at []int
	for i := range 35 {
		ty := wire.TypeSample
		if i == 20 {
			ty = wire.TypeSilence
		}
		if len(linesAt(l, ty, float64(i)/10, nil)) > 0 {
			at = append(at, i)
		}
	}
	must.Be(t, len(at) == 4 && at[0] == 0 && at[1] == 10 && at[2] == 20 && at[3] == 30, "lines at tenths %v, want 0, 10, 20 and 30", at)
	got := linesAt(l, wire.TypeClock, 99, nil)
	must.Be(t, got == nil, "a clock frame printed %q", got)
}

// A new verdict, an alarm and an event have their lines at once, however thin.
func TestLinesNeverLoseNews(t *testing.T) {
	l := &Lines{EveryS: 60}
	linesAt(l, wire.TypeSample, 0, nil)
	stop := func(s *monitor.Snapshot) {
		s.Seq, s.Advice.Verdict = 1, advise.VerdictStop
		s.Alarms = []alarm.Active{{Name: "wall-abort", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged}}
		s.EventCount, s.Events = 1, []monitor.Event{{TimeS: 1, Kind: monitor.EventLink, Text: wording.Words("the cable is out")}}
	}
	got := strings.Join(linesAt(l, wire.TypeSample, 1, stop), "\n")
	for _, want := range []string{"ALARM ABORT", "NOTE 0:01 the cable is out", "0:01 SHUT THE SUPPLY NOW"} {
		must.Be(t, strings.Contains(got, want), "%q is not in:\n%s", want, got)
	}
	if got := linesAt(l, wire.TypeSample, 2, stop); got != nil {
		t.Errorf("nothing is new, but %q was printed", got)
	}
}

// JSON has a line a sample or silence, and none for anything else.
func TestLinesJSON(t *testing.T) {
	l := &Lines{JSON: true}
	for ty, want := range map[wire.Type]int{wire.TypeSample: 1, wire.TypeSilence: 1, wire.TypeEntry: 0, wire.TypeHello: 0, wire.TypeLogStart: 0} {
		got := linesAt(l, ty, 1, nil)
		must.Be(t, len(got) == want, "a %s gave %d lines, want %d", ty, len(got), want)
	}
}

// TestPlainAlarms: new, changed and ended alarms each give a line; those that
// stay as they are do not.
func TestPlainAlarms(t *testing.T) {
	a := alarm.Active{Name: "a", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, Cause: wording.Words("cause"), Do: "Do it."}
	seen := a
	seen.State = alarm.StateAcknowledged
	snap := func(all ...alarm.Active) *monitor.Snapshot { return &monitor.Snapshot{Alarms: all} }
	for _, c := range []struct {
		before, after *monitor.Snapshot
		want          []string
	}{
		{snap(), snap(a), []string{"ALARM CAUTION new since 0:00, a: cause. Do it."}},
		{snap(a), snap(a), nil},
		{snap(a), snap(seen), []string{"ALARM CAUTION seen since 0:00, a: cause. Do it."}},
		{snap(seen), snap(), []string{"ALARM ended, a"}},
	} {
		got := PlainAlarms(c.before, c.after, quantity.SystemBarC)
		must.Be(t, strings.Join(got, "|") == strings.Join(c.want, "|"), "got %q, want %q", got, c.want)
	}
}
