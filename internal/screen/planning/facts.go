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
		out = append(out, canvas.RowOf(canvas.Label, " "+canvas.Left(name, 16)).Add(m.ink(canvas.Text), text).Cut(w, m.g.More))
	}
	if m.seq == 0 && m.stale {
		return nil
	}
	if w < wideFrom {
		return m.shortFacts(w)
	}
	lines := p.Lines(m.units)
	if m.answer.CourseAdvised() {
		lines = append(lines, plan.Line{Name: "fastest course", Text: fmt.Sprintf("%s, %.0f %% less: %s", quantity.Clock(m.answer.CourseInS), 100*m.answer.CourseSaves, m.courseText())})
	}
	if len(m.answer.Narrow) > 0 {
		n := m.answer.Narrow[0]
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
var factsFirst = []string{"wall before gas", "wall's peak", "fastest course", "may stand", "limit", "supply", "worth knowing"}

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
		name := "course"
		for _, line := range canvas.Wrap(m.courseText(), w-shortName-1, plan.LegsMost, m.g.More) {
			say(name, line)
			name = ""
		}
	}
	say("may stand", a.StandShort())
	if len(a.Narrow) > 0 {
		say("worth", a.Narrow[0].Do)
	}
	say("settles", "to "+u.Pressure(a.SettlePa))
	return out
}

const shortName = 11 // cells of a fact's name

// factsLeast is how many facts stand in every window: the course among them, where
// it is advised.
func (m Model) factsLeast(facts int, w int) int {
	least := 3
	if m.short() {
		least++
	}
	if m.answer.CourseAdvised() {
		least++
		if w < wideFrom {
			least += len(canvas.Wrap(m.courseText(), w-shortName-1, plan.LegsMost, "")) - 1
		}
	}
	return min(least, facts)
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
