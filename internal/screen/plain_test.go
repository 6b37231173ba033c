package screen

import (
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/wording"
)

// TestPlainLines holds the plain line of every situation, in one file, and
// each is one line without control characters.
func TestPlainLines(t *testing.T) {
	var all strings.Builder
	for _, sit := range situations() {
		for u := quantity.SystemBarC; u <= quantity.SystemKPaC; u++ {
			line := PlainLine(*sit.last(), u)
			if strings.ContainsAny(line, "\n\r\x1b") || strings.Contains(line, "NaN") {
				t.Errorf("%s: %q", sit.name, line)
			}
			all.WriteString(sit.name + ": " + line + "\n")
		}
		for _, a := range sit.last().Alarms {
			all.WriteString(sit.name + ": " + PlainAlarm(a, quantity.SystemBarC) + "\n")
		}
	}
	golden(t, "plain-lines", all.String())
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
		if strings.Join(got, "|") != strings.Join(c.want, "|") {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// TestMarginIsRoundedDown: what is left is never shown as more than it is.
func TestMarginIsRoundedDown(t *testing.T) {
	for k, want := range map[float64]string{6.79: "6.7", 0.04: "0.0", -0.01: "-0.1", -1.25: "-1.3", 3: "3.0", 2.8: "2.8"} {
		if got := marginNumber(quantity.SystemBarC, k); got != want {
			t.Errorf("%g shows %s, want %s", k, got, want)
		}
	}
}
