package planning

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/must"
	"fillwright/internal/plan"
)

// TestArrows proves that arrows choose and change, and that the answer that comes is
// the changed day's.
func TestArrows(t *testing.T) {
	m := NewModel(setup(t), Options{})
	m = done(t, m, m.Init())
	must.Need(t, !m.stale && m.full && m.answer.Verdict != plan.NoGo, "the first answer did not come: %+v", m.answer)
	was := m.answer.RampPaS
	m = press(t, m, key(tea.KeyDown), key(tea.KeyUp), key(tea.KeyRight), key(tea.KeyRight), key(tea.KeyRight))
	got := m.setup.Day.Air.Value
	must.Be(t, math.Abs(got-306.15) <= 1e-9, "three steps from 30 °C are %.2f °C", got-273.15)
	must.Be(t, m.answer.RampPaS < was && !m.stale && m.full, "3 °C hotter: %.0f Pa/s, before %.0f", m.answer.RampPaS, was)
}

// TestOlderAnswersAreDropped proves that an answer that was overtaken never shows.
func TestOlderAnswersAreDropped(t *testing.T) {
	m := NewModel(setup(t), Options{})
	late := m.Init()
	next, _ := m.Update(key(tea.KeyRight))
	m = next.(Model)
	next, cmd := m.Update(late())
	if m = next.(Model); !m.stale || cmd != nil {
		t.Error("the answer of an older day was taken")
	}
}

// TestRemediesAreSwitched proves that a digit puts its remedy in place and takes it
// away, that it is the same digit before and after, wherever the row then stands,
// and that answer, forecast and table follow what is in place.
func TestRemediesAreSwitched(t *testing.T) {
	m := answered(t, NewModel(setup(t, "wall-sun", "41 °C"), Options{}))
	digits := func(m Model) map[string]rune {
		of := map[string]rune{}
		for _, r := range m.ordered() {
			of[r.Key] = r.Digit
		}
		return of
	}
	before, was, end := digits(m), m.answer, m.answer.Path[len(m.answer.Path)-1]
	on := press(t, m, rune1(before["shade"]))
	must.Be(t, slices.Equal(on.on, []string{"shade"}) && on.answer.RampPaS > was.RampPaS,
		"%v in place, ramp %.0f, before %.0f", on.on, on.answer.RampPaS, was.RampPaS)
	if got := on.answer.Path[len(on.answer.Path)-1]; !(got.HottestK < end.HottestK-1) {
		t.Errorf("the forecast ends at %.1f K in the shade, before at %.1f K", got.HottestK, end.HottestK)
	}
	must.Be(t, maps.Equal(before, digits(on)), "digits %v, before %v", digits(on), before)
	if e := on.table.Before; math.Abs(on.table.AtPaS-on.answer.RampPaS) > 1 || !(e.RampPaS > 1.2*was.RampPaS) {
		t.Errorf("the table is at %.0f Pa/s and begins from %+v", on.table.AtPaS, e)
	}
	resin := press(t, on, rune1(before["other-resin"]))
	if got := resin.answer.GoalK - was.GoalK; math.Abs(got-10) > 1e-6 || !strings.Contains(resin.View(), "[x]") {
		t.Errorf("the limit moved by %.1f K with a resin of 10 K more", got)
	}
	if got := resin.InPlace(); got != "shade 20 min, kept; onset 10 °C higher" || m.InPlace() != "" {
		t.Errorf("in place are %q", got)
	}
	if off := press(t, on, rune1(before["shade"])); len(off.on) != 0 || math.Abs(off.answer.RampPaS-was.RampPaS) > 1 {
		t.Errorf("%v in place, ramp %.0f, before %.0f", off.on, off.answer.RampPaS, was.RampPaS)
	}
	if asks := press(t, m, rune1(before["other-hour"])); !strings.Contains(asks.notice, "first say place, date") || len(asks.on) != 0 {
		t.Errorf("another hour, of which nothing is known: %q", asks.notice)
	}
}

// TestNothingToHalve proves that a ramp whose half the valve can't hold is not halved: the
// remedy has no row, and its key says so.
func TestNothingToHalve(t *testing.T) {
	m := answered(t, NewModel(setup(t, "wall-sun", "52 °C"), Options{}))
	must.Be(t, !strings.Contains(m.View(), "half the ramp"), "a no-go's ramp is to be halved")
	half := press(t, m, rune1('1'))
	must.Be(t, len(half.on) == 0 && strings.Contains(half.notice, "does nothing"), "%v in place: %q", half.on, half.notice)
}

// TestTyping proves that a typed value is taken, a wrong one is refused with the
// reason and can be mended, and a value can be unsaid.
func TestTyping(t *testing.T) {
	m := NewModel(setup(t), Options{})
	keys := []tea.KeyMsg{key(tea.KeyEnter)}
	for _, r := range "25x" {
		keys = append(keys, rune1(r))
	}
	m = press(t, m, append(keys, key(tea.KeyEnter))...)
	must.Be(t, m.typing && strings.Contains(m.notice, "expected"), "typing %v, notice %q", m.typing, m.notice)
	m = press(t, m, key(tea.KeyBackspace), rune1('C'), key(tea.KeyEnter))
	must.Be(t, !m.typing && math.Abs(m.setup.Day.Air.Value-298.15) <= 1e-9, "air is %.2f °C, notice %q", m.setup.Day.Air.Value-273.15, m.notice)
	if m = press(t, m, key(tea.KeyDelete)); m.setup.Day.Air.Said || m.setup.Day.WallSunK < 300 {
		t.Error("air is still said, or the rest is not")
	}
	// A day whose parts do not go together is not taken.
	was := m.setup.Day.SunWM2
	m = press(t, m, key(tea.KeyDown), key(tea.KeyEnter), rune1('c'), rune1('l'), rune1('e'), rune1('a'), rune1('r'), key(tea.KeyEnter))
	must.Be(t, m.setup.Day.SunWM2 == was && strings.Contains(m.notice, "needs a place"), "notice %q", m.notice)
}

// TestKeysDoNothingBad proves that no key ends the screen but those that quit, and
// that a fault in the sums is told and never a go.
func TestKeysDoNothingBad(t *testing.T) {
	m := NewModel(setup(t), Options{})
	for _, k := range []tea.KeyMsg{rune1('u'), rune1('l'), rune1('?'), rune1('z'), key(tea.KeyEsc), key(tea.KeyTab), key(tea.KeyLeft)} {
		next, cmd := m.Update(k)
		if cmd != nil {
			_, quits := cmd().(tea.QuitMsg)
			must.Be(t, !quits, "%v quits", k)
		}
		m = next.(Model)
	}
	for _, k := range []tea.KeyMsg{rune1('q'), key(tea.KeyCtrlC)} {
		_, cmd := m.Update(k)
		must.Be(t, cmd != nil, "%v does not quit", k)
	}
	m = NewModel(setup(t), Options{})
	m = done(t, m, m.Init())
	m.w, m.h = 80, 24
	if word, _ := m.word(); word != "SLOWER" {
		t.Fatalf("before the fault it says %s: there is no leave that could stay", word)
	}
	next, _ := m.Update(faultMsg{m.seq})
	for _, help := range []bool{false, true} {
		failed := next.(Model)
		failed.help = help
		word, _ := failed.word()
		view := failed.View()
		must.Be(t, word == "NO-GO" && strings.Contains(view, "the sums failed") && !strings.Contains(view, "SLOWER:"),
			"a fault is not told, or with leave; help %v:\n%s", help, view)
	}
}

// BenchmarkKey is a key that changes the day, its answer worked out and drawn.
func BenchmarkKey(b *testing.B) {
	m := NewModel(setup(b), Options{})
	m = done(b, m, m.Init())
	m.w, m.h = 160, 45
	for i := 0; b.Loop(); i++ {
		next, cmd := m.Update(key([]tea.KeyType{tea.KeyRight, tea.KeyLeft}[i%2]))
		next, _ = next.(Model).Update(cmd())
		m = next.(Model)
		m.Frame()
	}
}
