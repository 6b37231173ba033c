package alarm

import (
	"fmt"
	"math"
	"math/rand"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wording"
)

func find(a []Active, name string) (Active, bool) {
	i := slices.IndexFunc(a, func(a Active) bool { return a.Name == name })
	if i < 0 {
		return Active{}, false
	}
	return a[i], true
}

func mustBe(t *testing.T, tab *Table, name string, want State) Active {
	t.Helper()
	a, _ := find(tab.Active(), name)
	must.Need(t, a.State == want, "at %g s %s is %v, want %v; active %+v", tab.timeS, name, a.State, want, tab.Active())
	return a
}

// TestDefinitions proves that the table is whole: stable names in kebab-case,
// every field filled, aborts latch, are never hidden and never wait.
func TestDefinitions(t *testing.T) {
	names := map[string]Definition{}
	for _, d := range Definitions() {
		_, twice := names[d.Name]
		must.Be(t, !twice, "%s twice", d.Name)
		names[d.Name] = d
		for _, r := range d.Name {
			must.Be(t, r >= 'a' && r <= 'z' || r == '-', "%s is no kebab-case", d.Name)
		}
		must.Be(t, d.Group != "" && d.Level != LevelNone && d.Cause != "" && d.Consequence != "" && d.Do != "" && d.RespondS > 0,
			"%s has blanks: %+v", d.Name, d)
		must.Be(t, d.OnDelayS >= 0 && d.OffDelayS > 0 && (d.DeadBand > 0) == (d.Unit != ""), "%s: delays or dead-band: %+v", d.Name, d)
		must.Be(t, d.Latching == (d.Level == LevelAbort), "%s: latching %v at level %v", d.Name, d.Latching, d.Level)
		must.Be(t, d.Level != LevelAbort || len(d.HiddenBy) == 0, "%s is an abort and can be hidden", d.Name)
		must.Be(t, d.Level != LevelAbort || d.OnDelayS == 0, "%s waits %g s", d.Name, d.OnDelayS)
	}
	for _, d := range names {
		for _, h := range d.HiddenBy {
			o, ok := names[h]
			must.Be(t, ok && o.Level >= d.Level && len(o.HiddenBy) == 0, "%s is hidden by %s, which is unknown, milder or itself hidden", d.Name, h)
		}
	}
	levels := []Level{LevelAbort, LevelCaution, LevelAdvisory}
	want := []string{"wall-margin", "wall-abort", "wall-over", "pressure-over", "pressure-near", "target-reached", "blind", "data-stale",
		"logger-restart", "sensor-ill", "gas-cold", "leak", "ramp-high", "hold-limit", "log-lost", "outside-model", "vent-advised", "reminder", "gas-loss", "side-soft", "reading-unsettled", "logger-ill", "logger-changed"}
	for _, n := range want {
		d, ok := names[n]
		must.Be(t, ok && slices.Contains(levels, d.Level), "%s is missing", n)
	}
	must.Be(t, len(names) == len(want), "%d alarms, want %d", len(names), len(want))
}

// TestPastIsToldInThePast proves that an alarm that is over gives no order
// any more, says what was, and until when.
func TestPastIsToldInThePast(t *testing.T) {
	past := regexp.MustCompile(`\b(was|were|had|could|came|would)\b`)
	for _, d := range Definitions() {
		if d.Name == Reminder {
			continue // what it was set for is still to be done
		}
		must.Be(t, past.MatchString(d.Was) && strings.HasSuffix(d.Was, "."), "%s: %q does not tell what was", d.Name, d.Was)
		tab := NewTable()
		tab.Set(d.Name, true, wording.Words("gas leaves now"))
		tab.Advance(10)
		tab.Advance(20)
		if a := mustBe(t, tab, d.Name, StateUnacknowledged); a.Do != d.Do || !a.Present() || !math.IsNaN(a.EndS) {
			t.Errorf("%s while it stands: %+v", d.Name, a)
		}
		tab.Set(d.Name, false, wording.Text{})
		tab.Advance(30)
		tab.Advance(60)
		gone := StateReturned
		if d.Latching {
			gone = StateLatched
		}
		a := mustBe(t, tab, d.Name, gone)
		must.Be(t, a.Do == "" && a.Cause.String() == d.Was && !a.Present() && a.EndS >= 30, "%s once it is over: %+v", d.Name, a)
	}
}

// TestLife proves the life of a caution through its delays: B to C to A, and
// B to D to B to D to A.
func TestLife(t *testing.T) {
	tab := NewTable()
	tab.Set(WallMargin, true, wording.Words("margin 2.1 °C"))
	tab.Advance(10)
	mustBe(t, tab, WallMargin, StateNormal)
	tab.Advance(10.9)
	mustBe(t, tab, WallMargin, StateNormal)
	tab.Advance(11)
	a := mustBe(t, tab, WallMargin, StateUnacknowledged)
	must.Be(t, a.SinceS == 11 && a.Cause.String() == "margin 2.1 °C" && a.First && a.Level == LevelCaution && a.Do != "", "%+v", a)
	must.Be(t, tab.Acknowledge(WallMargin) && !tab.Acknowledge(WallMargin), "accepting once is enough, and tells")
	mustBe(t, tab, WallMargin, StateAcknowledged)
	tab.Set(WallMargin, false, wording.Text{})
	tab.Advance(12)
	tab.Advance(14.9)
	mustBe(t, tab, WallMargin, StateAcknowledged)
	tab.Advance(15)
	mustBe(t, tab, WallMargin, StateNormal)
	must.Be(t, tab.Worst() == LevelNone && len(tab.Active()) == 0, "left over: %+v", tab.Active())

	tab.Set(WallMargin, true, wording.Text{})
	tab.Advance(20)
	tab.Advance(21)
	tab.Set(WallMargin, false, wording.Text{})
	tab.Advance(22)
	tab.Advance(25)
	mustBe(t, tab, WallMargin, StateReturned)
	tab.Set(WallMargin, true, wording.Text{})
	tab.Advance(30)
	tab.Advance(31)
	a = mustBe(t, tab, WallMargin, StateUnacknowledged)
	must.Be(t, a.SinceS == 31, "raised again: %+v", a)
	tab.Set(WallMargin, false, wording.Text{})
	tab.Advance(32)
	tab.Advance(35)
	mustBe(t, tab, WallMargin, StateReturned)
	tab.Acknowledge("")
	mustBe(t, tab, WallMargin, StateNormal)
}

// TestAbortLatches proves that an abort stays until it is accepted and gone,
// in either order, and is raised at the very input that has the condition.
func TestAbortLatches(t *testing.T) {
	tab := NewTable()
	tab.Set(WallAbort, true, wording.Text{})
	tab.Advance(5)
	mustBe(t, tab, WallAbort, StateUnacknowledged)
	tab.Set(WallAbort, false, wording.Text{})
	tab.Advance(6)
	mustBe(t, tab, WallAbort, StateUnacknowledged)
	tab.Advance(8)
	a := mustBe(t, tab, WallAbort, StateLatched)
	must.Be(t, !a.Cause.Empty(), "a latched abort still says what was the case")
	tab.Advance(3600)
	mustBe(t, tab, WallAbort, StateLatched)
	must.Be(t, tab.Worst() == LevelAbort, "worst is %v", tab.Worst())
	tab.Acknowledge("")
	mustBe(t, tab, WallAbort, StateNormal)

	tab.Set(WallAbort, true, wording.Text{})
	tab.Advance(4000)
	tab.Acknowledge(WallAbort)
	tab.Advance(9000)
	mustBe(t, tab, WallAbort, StateAcknowledged)
	tab.Set(WallAbort, false, wording.Text{})
	tab.Advance(9001)
	tab.Advance(9003)
	mustBe(t, tab, WallAbort, StateNormal)
}

// TestOnDelay proves that a condition must last without a break to count.
func TestOnDelay(t *testing.T) {
	tab := NewTable()
	for i := range 100 {
		timeS := float64(i) * 0.1
		tab.Set(RampHigh, i >= 10 && i != 25, wording.Text{}) // its on-delay is 2 s
		tab.Advance(timeS)
		want := StateNormal
		if i >= 46 {
			want = StateUnacknowledged
		}
		mustBe(t, tab, RampHigh, want)
	}
}

// TestOneCauseOneAlarm proves that a dead cable raises data-stale and hides
// the sensors that are ill of it, and that they show again when it is back.
func TestOneCauseOneAlarm(t *testing.T) {
	tab := NewTable()
	tab.Set(DataStale, true, wording.Text{})
	tab.Set(SensorIll, true, wording.Words("gas thermocouple: stale"))
	for i := range 50 {
		tab.Advance(100 + float64(i)*0.25)
		a := tab.Active()
		must.Need(t, len(a) == 1 && a[0].Name == DataStale && a[0].First, "active %+v", a)
	}
	tab.Acknowledge("") // accepts what the operator can see
	tab.Set(DataStale, false, wording.Text{})
	tab.Advance(120)
	tab.Advance(121)
	a := tab.Active()
	must.Need(t, len(a) == 1 && a[0].Name == SensorIll && a[0].State == StateUnacknowledged, "active %+v", a)
}

// TestFirstOut proves that the first alarm of a group is marked, whichever
// comes after, and that order is by level first.
func TestFirstOut(t *testing.T) {
	tab := NewTable()
	tab.Set(TargetReached, true, wording.Text{})
	tab.Set(WallAbort, true, wording.Text{})
	tab.Advance(0)
	tab.Set(WallOver, true, wording.Text{})
	tab.Set(Leak, true, wording.Text{})
	tab.Set(LogLost, true, wording.Text{})
	tab.Advance(1)
	tab.Advance(3)
	var got []string
	for _, a := range tab.Active() {
		got = append(got, fmt.Sprintf("%s %v", a.Name, a.First))
	}
	want := []string{"wall-abort true", "wall-over false", "log-lost true", "leak true", "target-reached true"}
	must.Be(t, slices.Equal(got, want), "active %q, want %q", got, want)
	tab.Acknowledge(WallAbort)
	a := tab.Active()
	must.Be(t, a[0].Name == WallOver && a[1].Name == WallAbort, "what wants accepting comes first: %+v", a)
}

// TestFreshSlice proves that a list that was handed out never changes, and
// that a new one is made only for a change.
func TestFreshSlice(t *testing.T) {
	tab := NewTable()
	tab.Set(LogLost, true, wording.Words("disk full"))
	tab.Advance(1)
	a := tab.Active()
	tab.Advance(2)
	if b := tab.Active(); &a[0] != &b[0] {
		t.Error("a new list without a change")
	}
	tab.Acknowledge("")
	if b := tab.Active(); &a[0] == &b[0] || a[0].State != StateUnacknowledged || b[0].State != StateAcknowledged {
		t.Errorf("%+v became %+v", a, b)
	}
	b := tab.Active()
	lists := 0
	for i := range 100 { // ten seconds of a number that changes all the time
		tab.Set(LogLost, true, wording.Words(fmt.Sprintf("disk full, %d bytes waiting", i)))
		tab.Advance(3 + float64(i)*0.1)
		if c := tab.Active(); &c[0] != &b[0] {
			lists, b = lists+1, c
		}
	}
	must.Be(t, lists >= 9 && lists <= 11, "%d lists in ten seconds, want one a second", lists)
}

// TestTimeStandsStill proves that a time that goes back or is no number
// neither raises nor clears anything.
func TestTimeStandsStill(t *testing.T) {
	tab := NewTable()
	tab.Advance(100)
	tab.Set(RampHigh, true, wording.Text{})
	for _, timeS := range []float64{100, 50, math.NaN(), math.Inf(-1), 101.9} {
		tab.Advance(timeS)
		mustBe(t, tab, RampHigh, StateNormal)
	}
	tab.Advance(102)
	mustBe(t, tab, RampHigh, StateUnacknowledged)
}

// TestLevel proves the thresholds with dead-band, high and low, and that a
// NaN leaves a condition as it is.
func TestLevel(t *testing.T) {
	tab := NewTable()
	steps := []struct {
		value float64
		want  bool
	}{{2.5, true}, {3, true}, {3.9, true}, {math.NaN(), true}, {4, false}, {3.1, false}, {math.NaN(), false}, {3, true}, {-math.MaxFloat64, true}}
	for i, s := range steps {
		tab.SetBelow(WallMargin, s.value, 3, wording.Text{})
		must.Equal(t, tab.row(WallMargin).raw, s.want, "low, step %d: %g", i, s.value)
		tab.row(HoldLimit).setLevel(s.value, 3, 4, &wording.Text{})
		must.Equal(t, tab.row(HoldLimit).raw, s.want, "low by hand, step %d: %g", i, s.value)
		tab.SetAbove(GasCold, -2*s.value, -6, wording.Text{}) // the dead-band of gas-cold is 2 K
		must.Equal(t, tab.row(GasCold).raw, s.want, "high, step %d: %g", i, s.value)
	}
}

// TestUnknownNames proves that a name from a log can't do harm, and that a
// wrong one in the program is found at once.
func TestUnknownNames(t *testing.T) {
	tab := NewTable()
	must.Be(t, !tab.Acknowledge("no such alarm"), "accepted an unknown alarm")
	defer func() {
		must.Be(t, recover() != nil, "setting an unknown alarm went unnoticed")
	}()
	tab.Set("no such alarm", true, wording.Text{})
}

// TestNoChatter proves that noise of two dead-bands to both sides of every
// threshold does not chatter in ten minutes at 10 Hz. Common test: three or
// more repeats in a minute are chattering (ISA-18.2, EEMUA 191; from memory).
func TestNoChatter(t *testing.T) {
	for _, d := range Definitions() {
		if d.Unit == "" {
			continue
		}
		for seed := range int64(5) {
			rnd := rand.New(rand.NewSource(seed))
			tab, raised := NewTable(), []float64{}
			was := StateNormal
			for i := range 6000 {
				timeS := float64(i) / 10
				tab.SetAbove(d.Name, (4*rnd.Float64()-2)*d.DeadBand, 0, wording.Text{})
				tab.Advance(timeS)
				a, _ := find(tab.Active(), d.Name)
				if a.State == StateUnacknowledged && was != StateUnacknowledged {
					raised = append(raised, timeS)
				}
				was = a.State
			}
			for i := 2; i < len(raised); i++ {
				must.Need(t, raised[i]-raised[i-2] >= 60, "%s chatters: raised at %v", d.Name, raised[:i+1])
			}
			must.Be(t, len(raised) <= 3, "%s: raised %d times in ten minutes", d.Name, len(raised))
		}
	}
}

func BenchmarkAdvance(b *testing.B) {
	tab := NewTable()
	tab.Set(WallMargin, true, wording.Text{})
	tab.Advance(0)
	timeS := 0.0
	b.ReportAllocs()
	for b.Loop() {
		timeS += 0.02
		tab.SetBelow(WallMargin, 2, 3, wording.Text{})
		tab.Advance(timeS)
		must.Need(b, len(tab.Active()) <= 1, "more than was set")
	}
}

// TestEndsAtOnce proves that the order of a condition that is gone for good goes
// with it, without the delay that keeps a condition from flickering; that a value
// within the dead-band does not bring it back; and that one which is still the case
// goes on as it was.
func TestEndsAtOnce(t *testing.T) {
	for _, name := range []string{TargetReached, RampHigh, Leak, WallAbort} {
		tab := NewTable()
		tab.Set(name, true, wording.Text{})
		tab.Advance(10)
		tab.Advance(20)
		since := mustBe(t, tab, name, StateUnacknowledged).SinceS
		tab.End(name)
		tab.Set(name, true, wording.Text{})
		tab.Advance(21)
		must.Equal(t, mustBe(t, tab, name, StateUnacknowledged).SinceS, since, "%s that is still the case began at", name)
		tab.End(name)
		tab.Advance(21.2)
		a, _ := find(tab.Active(), name)
		must.Be(t, !a.Present() && a.Do == "" && a.EndS == 21.2, "%s, 0.2 s after its end: %+v", name, a)
		tab.Set(name, true, wording.Text{})
		tab.Advance(30)
		tab.Advance(40)
		tab.Set(name, false, wording.Text{})
		tab.Advance(40.2)
		mustBe(t, tab, name, StateUnacknowledged) // the delay is back
	}
	tab := NewTable()
	tab.SetAbove(PressureOver, 50.1e5, 50e5, wording.Text{})
	tab.Advance(1)
	tab.End(PressureOver)
	tab.SetAbove(PressureOver, 49.9e5, 50e5, wording.Text{})
	tab.Advance(1.1)
	mustBe(t, tab, PressureOver, StateLatched)
}
