package screen

import (
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// TestHeadlines: the large word never says what would be wrong to do.
func TestHeadlines(t *testing.T) {
	allReady := func(s *monitor.Snapshot) {
		s.Ready = readyList()
		for i := range s.Ready {
			s.Ready[i].State = checklist.Yes
		}
	}
	for _, c := range []struct {
		from   string
		change func(s *monitor.Snapshot)
		word   string
		reason string
	}{
		{"ready", nil, "DO NOT START", "Do first: vent line tested, wall read at each station. Then at most 31.0 bar/min. Wall would peak"},
		{"ready", allReady, "READY", "Wall would peak"},
		{"no-start", nil, "DO NOT START", "shade or cool"},
		{"over", nil, "ENDED", "second gauge"},
		{"over", allReady, "READY", "Wall would peak"},
		{"over", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictNoStart }, "ENDED", "Do not start another fill"},
		{"vent", nil, "EMPTYING", "Let it vent. Keep your distance."},
		{"vent", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictUnknown }, "EMPTYING", "Let it vent."},
		{"vent", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictStop }, "SHUT", "Shut the supply now: "},
		{"vent", func(s *monitor.Snapshot) { s.Link.AgeS = 2 }, "NO DATA", "Let it vent."},
		{"abort-stop", nil, "SHUT", "Shut the supply now: stopping later"},
		{"stale", nil, "SHUT", "Shut the supply until there are data."},
		{"stale", func(s *monitor.Snapshot) { s.Advice, _ = advise.Unknown(wording.Words("readings are old")) }, "SHUT", "Shut the supply until there are data."},
		{"stale", func(s *monitor.Snapshot) { s.Link.AgeS = 5 }, "SHUT", "Shut the supply now."},
	} {
		m, _ := modelAt(t, c.from)
		if c.change != nil {
			c.change(&m.live)
		}
		v := m.picture()
		must.Equal(t, v.Word().Big, c.word, "%s: headline", c.from)
		got := v.Why()
		must.Be(t, strings.Contains(got, c.reason), "%s, %s: reason %q lacks %q", c.from, c.word, got, c.reason)
	}
}

// TestReplayIsSaidBesideTheVerdict, at every size.
func TestReplayIsSaidBesideTheVerdict(t *testing.T) {
	m, _ := modelAt(t, "replay")
	for w := 20; w < 220; w += 5 {
		for h := 6; h < 60; h += 6 {
			m.w, m.h = w, h
			first := strings.Split(ansi.Strip(m.picture().String()), "\n")[0]
			must.Be(t, strings.Contains(first, "REPLAY"), "%dx%d: %q", w, h, first)
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
				text := ansi.Strip(m.picture().String())
				must.Be(t, !strings.Contains(text, w), "%s at %v shows %q:\n%s", name, size, w, text)
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
		a := alarm.Active{Name: d.Name, Level: d.Level, State: alarm.StateUnacknowledged, SinceS: 80, First: true, Cause: wording.Words(d.Cause), Do: d.Do}
		m.live.Alarms = []alarm.Active{a, a, a}
		text := strings.Join(strings.Fields(ansi.Strip(m.picture().String())), " ")
		must.Be(t, strings.Contains(text, d.Do), "%s: %q is cut:\n%s", d.Name, d.Do, m.picture().String())
	}
}

// TestMayStayOpen: how long the supply may stay open is the soonest of target and
// wall, and never a promise on what is not known.
func TestMayStayOpen(t *testing.T) {
	for _, c := range []struct {
		what   string
		change func(s *monitor.Snapshot)
		want   string
	}{
		{"target first", nil, "0:29 (target)"},
		{"wall first", func(s *monitor.Snapshot) { s.Outlook.ToLimitS = 12.9 }, "0:12 (wall)"},
		{"wall not known", func(s *monitor.Snapshot) { s.Outlook.ToLimitS = nan }, "--"},
		{"ramp not known", func(s *monitor.Snapshot) { s.RampPaS = nan }, "--"},
		{"nothing flows", func(s *monitor.Snapshot) { s.RampPaS = 0 }, "--"},
		{"target passed", func(s *monitor.Snapshot) { s.PressurePa = bar(41) }, "now (target)"},
		{"too warm to go on", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictHold }, "now"},
		{"nothing known", func(s *monitor.Snapshot) { s.Advice, _ = advise.Unknown(wording.Words("x")) }, "now"},
		{"abort", func(s *monitor.Snapshot) { s.Advice.Verdict = advise.VerdictStop }, "now"},
		{"old data", func(s *monitor.Snapshot) { s.Link.AgeS = 1.2 }, "now (no data)"},
		{"older", func(s *monitor.Snapshot) { s.Link.AgeS = 3 }, "now (no data)"},
		{"standing", func(s *monitor.Snapshot) { s.Phase = phase.Holding }, "--"},
	} {
		m, _ := modelAt(t, "filling")
		if c.change != nil {
			c.change(&m.live)
		}
		text, why := m.picture().MayStayOpen()
		must.Equal(t, strings.TrimSpace(text+" "+why), c.want, "%s", c.what)
	}
}

// TestTimeLeftOfAHold is the shorter of what the wall and the plan allow.
func TestTimeLeftOfAHold(t *testing.T) {
	for _, c := range []struct {
		limitS, ageS float64
		want         string
	}{
		{720, 0, "12:00 (wall)"}, {math.Inf(1), 0, "14:42 (plan)"}, {3600, 0, "14:42 (plan)"},
		{nan, 0, "-- "}, {720, 5, "-- "},
	} {
		m, _ := modelAt(t, "hold")
		m.live.Outlook.HoldLimitS, m.live.Link.AgeS = c.limitS, c.ageS
		text, why := m.picture().timeLeft()
		must.Be(t, text+" "+why == c.want, "wall %g s, data %g s old: %q, want %q", c.limitS, c.ageS, text+" "+why, c.want)
	}
}
