package planning

import (
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
	for _, name := range factsFirst {
		for _, l := range lines {
			if l.Name == name {
				say(name, l.Text)
			}
		}
	}
	if m.answer.CourseAdvised() {
		say("fastest course", fmt.Sprintf("%s, %.0f %% less: %s", quantity.Clock(m.answer.CourseInS), 100*m.answer.CourseSaves, m.courseText()))
	}
	if len(m.answer.Narrow) > 0 {
		n := m.answer.Narrow[0]
		say("worth knowing", n.Do+": "+n.Text(m.units))
	}
	for _, l := range lines {
		if !slices.Contains(factsFirst, l.Name) {
			say(l.Name, l.Text)
		}
	}
	return out
}

// wideFrom is the width of the answer from which on the lines of the tables fit.
const wideFrom = 64

// shortFacts are the facts for a narrow answer.
func (m Model) shortFacts(w int) []canvas.Row {
	a, u := &m.answer, m.units
	var out []canvas.Row
	say := func(name, text string) {
		out = append(out, canvas.RowOf(canvas.Label, " "+canvas.Left(name, 11)).Add(m.ink(canvas.Text), text).Cut(w, m.g.More))
	}
	number := func(e plan.Estimate) string { return u.TemperatureNumber(e.K) + " ± " + u.DifferenceNumber(e.BandK) }
	say("before gas", number(a.Sun)+", shade "+number(a.Shade)+" "+u.TemperatureUnit())
	say("peak", number(a.Peak)+", limit "+u.TemperatureNumber(a.GoalK)+", softens "+u.TemperatureNumber(a.OnsetK))
	say("may stand", a.StandText())
	if a.CourseAdvised() {
		say("course", m.courseText())
	}
	if len(a.Narrow) > 0 {
		say("worth", a.Narrow[0].Do)
	}
	say("settles", "to "+u.Pressure(a.SettlePa))
	return out
}

// factsFirst stand in every window.
var factsFirst = []string{"wall before gas", "wall's peak", "may stand", "supply"}

func (m Model) courseText() string {
	var legs []string
	for _, l := range m.answer.Course {
		if l.RampPaS == 0 {
			legs = append(legs, "wait to "+quantity.Clock(l.ToS))
			continue
		}
		legs = append(legs, m.units.RampNumber(l.RampPaS)+" to "+m.units.Pressure(l.ToPa))
	}
	return strings.Join(legs, ", ")
}
