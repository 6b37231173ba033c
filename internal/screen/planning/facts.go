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
func (m Model) facts(w int) []canvas.Row {
	p := plan.Plan{Setup: m.setup, Answer: m.answer, Sides: m.sides}
	var out []canvas.Row
	say := func(name, text string) {
		for _, line := range canvas.Wrap(text, w-len(blankName), factLinesMost, m.g.More) {
			out = append(out, canvas.RowOf(canvas.Label, " "+canvas.Left(name, 16)).Add(m.ink(canvas.Text), line).Cut(w, m.g.More))
			name = ""
		}
	}
	if m.seq == 0 && m.stale {
		return nil
	}
	if w < wideFrom {
		return m.shortFacts(w)
	}
	lines := p.Lines(m.units)
	if m.answer.CourseAdvised() {
		lines = append(lines, plan.Line{Name: "or in steps", Text: fmt.Sprintf("%s: %s min instead of %s", m.courseText(), quantity.Clock(m.answer.CourseInS), quantity.Clock(m.answer.TargetInS))})
	}
	if n, ok := m.worthKnowing(); ok {
		lines = append(lines, plan.Line{Name: "worth knowing", Text: n.Do + ": " + n.Text(m.units)})
	}
	first := factsFirst
	if m.short() {
		first = append([]string{"supply"}, factsFirst...)
	}
	slices.SortStableFunc(lines, func(a, b plan.Line) int { return cmp.Compare(rank(first, a.Name), rank(first, b.Name)) })
	for _, l := range lines {
		say(l.Name, l.Text)
	}
	return out
}

// factsFirst stand before all others.
var factsFirst = []string{"wall before gas", "wall's peak", "or in steps", "may stand", "limit", "supply", "worth knowing"}

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

// shortFacts are the facts for a narrow answer: the first of them always in sight.
func (m Model) shortFacts(w int) []canvas.Row {
	a, u := &m.answer, m.units
	var out []canvas.Row
	say := func(name, text string) {
		out = append(out, canvas.RowOf(canvas.Label, " "+canvas.Left(name, shortName)).Add(m.ink(canvas.Text), text).Cut(w, m.g.More))
	}
	number := func(e plan.Estimate) string { return u.TemperatureNumber(e.K) + " ± " + u.DifferenceNumber(e.BandK) }
	if m.short() {
		say("supply", "ends at "+u.Pressure(a.Supply.EndPa)+" cold: NOT ENOUGH")
	}
	say("before gas", number(a.Sun)+", shade "+number(a.Shade)+" "+u.TemperatureUnit())
	say("peak", number(a.Peak)+", up to "+u.TemperatureNumber(a.Peak.K+a.Peak.BandK)+"; limit "+u.TemperatureNumber(a.GoalK))
	if a.CourseAdvised() {
		name := "or steps"
		for _, line := range canvas.Wrap(m.courseText(), w-shortName-1, plan.LegsMost, m.g.More) {
			say(name, line)
			name = ""
		}
	}
	if a.Verdict != plan.NoGo {
		say("may stand", a.StandShort())
	}
	if n, ok := m.worthKnowing(); ok {
		say("worth", n.Do)
	}
	if a.Verdict != plan.NoGo {
		say("settles", "to "+u.Pressure(a.SettlePa))
	}
	return out
}

// worthKnowing is what would narrow the answer most, if there is anything that may
// be done on a day like this one.
func (m Model) worthKnowing() (plan.Narrowing, bool) {
	for _, n := range m.answer.Narrow {
		if m.answer.Verdict != plan.NoGo || !n.Fills {
			return n, true
		}
	}
	return plan.Narrowing{}, false
}

// blankName stands before what is left of a fact, and factLinesMost bounds it.
const (
	blankName     = "                 "
	factLinesMost = 3
)

const shortName = 11 // cells of a fact's name

// factsLeast is how many rows of facts stand in every window: wall, supply where it
// runs out, the course where it is advised, and how long it may stand.
func (m Model) factsLeast(facts []canvas.Row) int {
	last := "may stand"
	if m.answer.Verdict == plan.NoGo {
		last = "peak"
	}
	ended := false
	for i, r := range facts {
		switch {
		case strings.Contains(r[0].Text, last):
			ended = true
		case ended && r[0].Text != blankName:
			return i
		}
	}
	return len(facts)
}

func (m Model) courseText() string {
	var legs []string
	for _, l := range m.answer.Course {
		if l.RampPaS == 0 {
			legs = append(legs, "wait to "+quantity.Clock(l.ToS))
			continue
		}
		legs = append(legs, m.units.Ramp(l.RampPaS)+" to "+m.units.Pressure(l.ToPa))
	}
	return strings.Join(legs, ", then ")
}
