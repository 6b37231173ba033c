package screen

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
)

// TestHeadlines: the large word never says what would be wrong to do.
func TestHeadlines(t *testing.T) {
	allReady := func(s *monitor.Snapshot) {
		s.Ready = readyList()
		for i := range s.Ready {
			s.Ready[i].State = monitor.ReadyYes
		}
	}
	for _, c := range []struct {
		from   string
		change func(s *monitor.Snapshot)
		word   string
		reason string
	}{
		{"ready", nil, "2 TO DO", "First: vent line tested, surface readings taken"},
		{"ready", allReady, "READY", "Wall would peak"},
		{"no-start", nil, "DO NOT START", "shade or cool"},
		{"over", nil, "ENDED", "The vessel is vented."},
		{"over", allReady, "READY", "Wall would peak"},
		{"over", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictNoStart }, "ENDED", "Do not start another fill"},
		{"vent", nil, "EMPTYING", "Let it vent. Keep your distance."},
		{"vent", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictUnknown }, "EMPTYING", "Let it vent."},
		{"vent", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictStop }, "SHUT", "Shut the supply now: "},
		{"vent", func(s *monitor.Snapshot) { s.Link.AgeS = 2 }, "NO DATA", "Let it vent."},
		{"abort-stop", nil, "SHUT", "Shut the supply now: stopping later"},
		{"stale", nil, "NO DATA", "Hand on the supply valve; shut it at 3 s without data."},
		{"stale", func(s *monitor.Snapshot) { s.Advice, _ = advise.Unknown("readings are old") }, "NO DATA", "Hand on the supply valve"},
		{"stale", func(s *monitor.Snapshot) { s.Link.AgeS = 5 }, "NO DATA", "Shut the supply now."},
	} {
		m, _ := modelAt(t, c.from)
		if c.change != nil {
			c.change(&m.live)
		}
		v := m.picture()
		if got := v.word().big; got != c.word {
			t.Errorf("%s: headline %q, want %q", c.from, got, c.word)
		}
		if got := v.why(); !strings.Contains(got, c.reason) {
			t.Errorf("%s, %s: reason %q lacks %q", c.from, c.word, got, c.reason)
		}
	}
}

// TestReplayIsSaidBesideTheVerdict, at every size.
func TestReplayIsSaidBesideTheVerdict(t *testing.T) {
	m, _ := modelAt(t, "replay")
	for w := 20; w < 220; w += 5 {
		for h := 6; h < 60; h += 6 {
			m.w, m.h = w, h
			if first := strings.Split(ansi.Strip(m.picture().String()), "\n")[0]; !strings.Contains(first, "REPLAY") {
				t.Errorf("%dx%d: %q", w, h, first)
			}
		}
	}
}

// TestNoTimeIsPromisedUnderAnAbort, nor a settled pressure in a vent.
func TestNoTimeIsPromisedUnderAnAbort(t *testing.T) {
	for _, size := range sizes {
		for name, wrong := range map[string][]string{"abort-vent": {"no limit", "endless", " of 15:00"}, "vent": {"settle"}, "over": {"settle"}, "top-up": {"Shut the supply"}} {
			m, _ := modelAt(t, name)
			m.w, m.h = size[0], size[1]
			for _, w := range wrong {
				if text := ansi.Strip(m.picture().String()); strings.Contains(text, w) {
					t.Errorf("%s at %v shows %q:\n%s", name, size, w, text)
				}
			}
		}
	}
}

// TestOrdersAreNotCut: what an alarm asks for is whole where it comes first,
// from 60 columns up.
func TestOrdersAreNotCut(t *testing.T) {
	for _, d := range alarm.Definitions() {
		if d.Name == alarm.Reminder {
			continue
		}
		m, _ := modelAt(t, "filling")
		m.w, m.h = 60, 20
		a := alarm.Active{Name: d.Name, Level: d.Level, State: alarm.StateUnacknowledged, SinceS: 80, First: true, Cause: d.Cause, Do: d.Do}
		m.live.Alarms = []alarm.Active{a, a, a}
		if text := strings.Join(strings.Fields(ansi.Strip(m.picture().String())), " "); !strings.Contains(text, d.Do) {
			t.Errorf("%s: %q is cut:\n%s", d.Name, d.Do, m.picture().String())
		}
	}
}
