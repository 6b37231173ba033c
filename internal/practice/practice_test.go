package practice

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// The stories here are made up by hand, second by second, so that each number
// of the account can be counted on the fingers.

// story plays rows at ten a second.
type story struct {
	a      *Account
	r      mimic.Row
	s      monitor.Snapshot
	barMin float64 // true ramp
}

func newStory(t *testing.T) *story {
	st := &story{a: New(vessel.Invented())}
	st.r.HottestK = 300
	st.s.HottestK, st.s.BandK, st.s.MarginK = 300.5, 1, 20
	st.s.Advice = advise.Advice{Verdict: advise.VerdictFill, RampPaS: 20e5 / 60}
	return st
}

func (st *story) pass(seconds float64) {
	for range int(math.Round(seconds * 10)) {
		st.r.TimeS += 0.1
		st.r.PressurePa = math.Max(st.r.PressurePa+st.barMin*1e5/60*0.1, 0)
		st.a.See(st.r, &st.s)
	}
}

func (st *story) valve(a mimic.Action, opening, barMin float64) {
	st.r.Valve, st.barMin = mimic.Valve{Action: a, Opening: opening}, barMin
}

// accepted is the event of an alarm that was accepted.
func (st *story) accepted(name string) {
	st.s.Events = append(st.s.Events, monitor.Event{TimeS: st.r.TimeS, Kind: monitor.EventEntry, Text: wording.Acknowledged(name), Accepted: name})
	st.s.EventCount++
}

func (st *story) text() string {
	return strings.Join(st.a.Text(quantity.SystemBarC), "\n")
}

func says(t *testing.T, text string, all ...string) {
	t.Helper()
	for _, w := range all {
		must.Be(t, strings.Contains(text, w), "the account does not say %q:\n%s", w, text)
	}
}

// TestAccount proves that hottest wall, margin, band, ramp and time above the
// advised ramp are those of the story, and that waiting before it counts nothing.
func TestAccount(t *testing.T) {
	st := newStory(t)
	st.valve(mimic.Open, 1, 0)
	st.r.HottestK = 340 // before any gas: not of the fill
	st.pass(100)
	says(t, st.text(), "No gas was let in")
	st.r.HottestK = 310
	st.valve(mimic.Fill, 0.04, 15)
	st.pass(60)
	st.valve(mimic.Fill, 0.16, 60) // three times as advised
	st.pass(10)
	st.r.HottestK, st.s.HottestK, st.s.MarginK = 326, 322, 3
	st.pass(5)
	st.r.HottestK, st.s.HottestK = 315, 315.5
	st.valve(mimic.Shut, 0, 0)
	st.pass(30)
	says(t, st.text(), "left under pressure")
	st.valve(mimic.Open, 1, -300)
	st.pass(20)
	text := st.text()
	says(t, text, Invented[0], "Fill 1, 1:40 to 3:",
		"52.9 °C at 2:50; the screen showed 48.9 ± 1.0 °C",
		"1.1 °C of the true wall", // onset 54 °C
		"least MARGIN shown     3.0 °C",
		"off by 9.5 °C at worst", // 300.5 shown at 310
		"30.0 bar at most, 60.0 bar/min at the fastest", "s of 75.0 s with the supply open", "alarms                 none")
	must.Be(t, !strings.Contains(text, "left under pressure") && !strings.Contains(text, "AT ONSET"), "%v", text)
	f := st.a.fills[0]
	must.Be(t, f.aboveS > 14 && f.aboveS < 15, "above the advised ramp for %g s of 15", f.aboveS) // the ramp is taken over a second
	must.Be(t, f.outsideS > 75-0.2 && f.outsideS < 75+0.2, "outside the band for %g s, want 75", f.outsideS)
}

// TestAdviceThatAsksForNoGas proves that any inflow against it is too fast.
func TestAdviceThatAsksForNoGas(t *testing.T) {
	st := newStory(t)
	st.s.Advice = advise.Advice{Verdict: advise.VerdictStop, RampPaS: math.NaN()}
	st.valve(mimic.Fill, 0.04, 10)
	st.pass(12)
	f := st.a.fills[0]
	must.Be(t, f.aboveS > 11.5, "%g s of 12 count as above", f.aboveS)
}

// TestAnswers proves the reaction to each kind of alarm: done late, done
// already, not done, and seen.
func TestAnswers(t *testing.T) {
	st := newStory(t)
	st.valve(mimic.Fill, 0.16, 60)
	st.pass(20)
	raised := func(name string, l alarm.Level, s alarm.State) alarm.Active {
		return alarm.Active{Name: name, Level: l, State: s, SinceS: 20}
	}
	st.s.Alarms = []alarm.Active{raised(alarm.WallAbort, alarm.LevelAbort, alarm.StateUnacknowledged),
		raised(alarm.RampHigh, alarm.LevelCaution, alarm.StateUnacknowledged),
		raised(alarm.VentAdvised, alarm.LevelAbort, alarm.StateUnacknowledged),
		raised(alarm.OutsideModel, alarm.LevelAdvisory, alarm.StateUnacknowledged)}
	st.pass(2.1)
	st.valve(mimic.Fill, 0.09, 30)
	st.pass(1)
	st.valve(mimic.Shut, 0, 0)
	st.pass(1)
	st.accepted(monitor.AllAlarms)
	st.pass(1)
	st.s.Alarms = append(st.s.Alarms, alarm.Active{Name: alarm.WallOver, Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 25})
	st.pass(1)
	says(t, st.text(),
		"0:20 ABORT wall-abort; supply shut after 3.1 s; seen after 4.1 s",
		"0:20 CAUTION ramp-high; turned down after 2.1 s; seen after 4.1 s",
		"0:20 ABORT vent-advised; the vent was not opened; seen after 4.1 s",
		"0:20 NOTE outside-model; seen after 4.1 s",
		"0:25 ABORT wall-over; the supply was shut")
	st.accepted("wall-over")
	st.pass(1)
	says(t, st.text(), "wall-over; the supply was shut; seen after 1.0 s", "ramp-high; turned down after 2.1 s; seen after 4.1 s")
	n := len(st.a.fills[0].answers)
	must.Be(t, n == 5, "%d answers, want 5", n)
}

// TestOnset proves that a wall that was at onset is told in capitals.
func TestOnset(t *testing.T) {
	st := newStory(t)
	st.valve(mimic.Fill, 0.16, 60)
	st.pass(10)
	st.r.HottestK = 273.15 + 54.3
	st.pass(1)
	says(t, st.text(), "-0.3 °C of the true wall: THE WALL WAS AT ONSET")
}

// TestPuffIsNoFill proves that a breath of gas leaves no account, and that a
// second fill has its own.
func TestPuffIsNoFill(t *testing.T) {
	st := newStory(t)
	st.valve(mimic.Fill, 0.01, 6)
	st.pass(2)
	st.valve(mimic.Open, 1, -60)
	st.pass(5)
	says(t, st.text(), "No gas was let in")
	for range 2 {
		st.valve(mimic.Fill, 0.04, 60)
		st.pass(5)
		st.valve(mimic.Open, 1, -300)
		st.pass(5)
	}
	says(t, st.text(), "Fill 1, 0:07", "Fill 2, 0:17")
}
