package planning

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// facts are the lines of the answer, what matters most first.
type facts struct {
	nameCells, w int
	rows         []canvas.Row
	ends         []int // rows at which one ends
	least        int   // rows that stand in every window: to may stand, or of a no-go to the peak
}

// say adds a fact in at most some rows.
func (f *facts) say(m Model, name, text string, most int) {
	for _, line := range canvas.Wrap(m.spell(text), f.w-f.nameCells, most, m.g.More) {
		f.rows = append(f.rows, canvas.RowOf(canvas.Label, " "+canvas.Left(name, f.nameCells-1)).Add(m.ink(canvas.Text), line).Cut(f.w, m.g.More))
		name = ""
	}
	f.ends = append(f.ends, len(f.rows))
}

// keep says that what was said up to here stands in every window.
func (f *facts) keep() { f.least = len(f.rows) }

// first are as many rows as fit into n, no fact cut off but for those that stand
// in every window.
func (f *facts) first(n int) []canvas.Row {
	fit := f.least
	for _, end := range f.ends {
		if end <= n {
			fit = max(fit, end)
		}
	}
	return f.rows[:fit]
}

// facts are those for a box of w cells.
func (m Model) facts(w int) facts {
	switch {
	case m.waiting() || m.trouble:
		return facts{}
	case w < wideFrom:
		return m.shortFacts(w)
	}
	p := plan.Plan{Setup: m.setup, Answer: m.answer, Sides: m.sides}
	lines := p.Lines(m.units)
	if name, text := m.steps(); name != "" {
		lines = append(lines, plan.Line{Name: name, Text: text})
	}
	if n, ok := m.worthKnowing(); ok {
		lines = append(lines, plan.Line{Name: "worth knowing", Text: n.Do + ": " + n.Text(m.units)})
	}
	first, last := factsFirst, "may stand"
	if m.short() {
		first = append([]string{"supply"}, factsFirst...)
	}
	if m.answer.Verdict == plan.NoGo {
		last = "wall's peak"
	}
	slices.SortStableFunc(lines, func(a, b plan.Line) int { return cmp.Compare(rank(first, a.Name), rank(first, b.Name)) })
	out := facts{nameCells: longName, w: w}
	for _, l := range lines {
		if out.say(m, l.Name, l.Text, factLinesMost); l.Name == last {
			out.keep()
		}
	}
	return out
}

// factsFirst stand before all others.
var factsFirst = []string{"look again", "or in steps", "in stages", "no faster", "wall before gas", "wall's peak", "may stand", "limit", "supply", "worth knowing"}

// rank is where a name stands among the first; the last where it does not.
func rank(first []string, name string) int {
	if at := slices.Index(first, name); at >= 0 {
		return at
	}
	return len(first)
}

// short says that the supply runs out.
func (m Model) short() bool { return m.answer.Supply.Known && !m.answer.Supply.Enough }

// wideFrom is the width of the answer from which on the lines of the tables fit.
const wideFrom = 64

// shortFacts are the facts for a narrow answer, a row each but for the course.
func (m Model) shortFacts(w int) facts {
	a, u := &m.answer, m.units
	out := facts{nameCells: shortName, w: w}
	number := func(e plan.Estimate) (sum, upTo string) {
		value, band, upTo := e.Texts(u)
		return value + " ± " + band, upTo
	}
	sun, _ := number(a.Sun)
	shade, _ := number(a.Shade)
	peak, upTo := number(a.Peak)
	if name, text := m.steps(); name != "" {
		out.say(m, strings.Replace(name, "or in ", "or ", 1), text, plan.LegsMost)
	}
	if m.short() {
		out.say(m, "supply", "ends at "+u.Pressure(a.Supply.EndPa)+" cold: NOT ENOUGH", 1)
	}
	if t := m.setup.Day.Odd(u); t != "" {
		out.say(m, "look again", t, 2)
	}
	out.say(m, "before gas", sun+", shade "+shade+" "+u.TemperatureUnit(), 1)
	out.say(m, "peak", peak+", up to "+upTo+"; limit "+u.TemperatureNumber(a.GoalK), 1)
	if a.Verdict != plan.NoGo {
		out.say(m, "may stand", a.StandShort(), 1)
	}
	out.keep()
	if n, ok := m.worthKnowing(); ok {
		out.say(m, "worth", n.Do+": "+n.Text(u), 3)
	}
	if a.Verdict != plan.NoGo {
		out.say(m, "settles", a.SettleText(u), 2)
	}
	return out
}

// worthKnowing is what would narrow the answer most, if there is anything that may
// be done on a day like this one.
func (m Model) worthKnowing() (plan.Narrowing, bool) {
	if m.short() { // nothing that is known makes gas
		return plan.Narrowing{}, false
	}
	for _, n := range m.answer.Narrow {
		if m.answer.Verdict != plan.NoGo || !n.Fills {
			return n, true
		}
	}
	return plan.Narrowing{}, false
}

// Cells of a fact's name with the blanks about it, and the rows that one may take.
const (
	longName      = 17
	shortName     = 12
	factLinesMost = 3
)

// steps are the legs of an answer that has more than one, with their name: beside the
// one ramp, or, where a wait is in place, what the answer is.
func (m Model) steps() (name, text string) {
	a := &m.answer
	waits := slices.ContainsFunc(a.Course, func(l plan.CourseLeg) bool { return l.RampPaS == 0 })
	switch {
	case a.CourseAdvised():
		return "or in steps", fmt.Sprintf("%s, in %s min", m.courseText(), quantity.Clock(a.CourseInS))
	case a.Verdict != plan.NoGo && waits && a.CourseSaves == 0:
		return "in stages", m.courseText()
	}
	return "", ""
}

// courseText calls a course's legs out.
func (m Model) courseText() string {
	var legs []string
	for _, l := range m.answer.Course {
		if l.RampPaS == 0 {
			legs = append(legs, "shut until "+quantity.Clock(l.ToS))
			continue
		}
		legs = append(legs, m.units.Ramp(l.RampPaS)+" to "+m.units.Pressure(l.ToPa))
	}
	return strings.Join(legs, ", then ")
}
