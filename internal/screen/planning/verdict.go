package planning

import (
	"slices"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// word is the verdict's, and its role. Sums that failed give no leave, and one that
// hangs on something says that before all else.
func (m Model) word() (string, canvas.Role) {
	switch {
	case m.trouble:
		return "NO-GO", canvas.Caution
	case m.answer.Verdict == plan.NoGo:
		return "NO-GO", canvas.Abort
	case len(m.conditions()) > 0:
		return "ONLY IF", canvas.Caution
	case m.answer.Verdict == plan.Go:
		return "GO", canvas.Strong
	}
	return "SLOWER", canvas.Caution // it does not begin with leave
}

// conditions are what the answer hangs on: the remedies that are in place, each with
// its digit, and what was not said.
func (m Model) conditions() []string {
	var out []string
	for _, r := range m.setup.Remedies() {
		if slices.Contains(m.on, r.Key) {
			name := "[" + string(r.Digit) + "] " + m.setup.Told(r.Name, m.units)
			if r.Later {
				name += " (not today)"
			}
			out = append(out, name)
		}
	}
	return append(out, m.answer.OnlyIf()...)
}

// waiting says that there is no answer yet.
func (m Model) waiting() bool { return m.seq == 0 && m.stale && !m.trouble }

// verdict is the word, large.
func (m Model) verdict(w int) []canvas.Row {
	word, role := m.word()
	if m.waiting() {
		return []canvas.Row{nil, canvas.RowOf(canvas.Label, " working it out"), nil}
	}
	if m.g.ASCII || canvas.BigWidth(word, canvas.BigThree)+2 > w {
		return []canvas.Row{nil, canvas.RowOf(canvas.Text, " ").Add(m.ink(role), " "+word+" "), nil}
	}
	var out []canvas.Row
	for _, line := range canvas.BigText(word, canvas.BigThree, m.g.Big) {
		out = append(out, canvas.RowOf(canvas.Text, " ").Add(m.ink(role), " "+line+" "))
	}
	return out
}

// conditionRows are how many rows what an answer hangs on may take.
const conditionRows = 3

// reason is what the answer hangs on, then the ramp, or why not: whole parts only.
func (m Model) reason(w int) []canvas.Row {
	a := &m.answer
	switch {
	case m.trouble:
		return []canvas.Row{canvas.RowOf(canvas.Caution, " the sums failed: change something, or quit")}
	case m.waiting():
		return []canvas.Row{nil}
	case a.Verdict == plan.NoGo:
		r := canvas.RowOf(canvas.Text, " ")
		if with := "even with [x]: "; len(m.on) > 0 && r.Width()+canvas.Cells(with+a.Why) <= w {
			r = r.Add(m.ink(canvas.Strong), with)
		}
		out := []canvas.Row{r.Add(m.ink(canvas.Strong), a.Why).Cut(w, m.g.More)}
		if a.And != "" {
			out = append(out, canvas.RowOf(canvas.Text, " ").Add(m.ink(canvas.Strong), "and "+a.And).Cut(w, m.g.More))
		}
		return out
	}
	var out []canvas.Row
	then := ""
	if on := m.conditions(); len(on) > 0 {
		lines := []string{on[0]}
		for _, c := range on[1:] {
			lines = append(lines, "AND "+c)
		}
		if len(lines) > conditionRows {
			lines = canvas.Wrap(strings.Join(lines, " "), w-2, conditionRows, m.g.More)
		}
		for _, line := range lines {
			out = append(out, canvas.RowOf(canvas.Text, " ").Add(m.ink(canvas.Strong), line).Cut(w, m.g.More))
		}
		then = "then "
	}
	return append(out, m.most(then, w))
}

// most is the ramp, and how long it takes: whole parts only.
func (m Model) most(before string, w int) canvas.Row {
	a := &m.answer
	text := before + "at most " + m.units.Ramp(a.RampPaS)
	if a.CourseAdvised() {
		text = "one ramp: at most " + m.units.Ramp(a.RampPaS)
	}
	r := canvas.RowOf(canvas.Text, " ").Add(m.ink(canvas.Strong), text)
	parts := []string{"; full in " + quantity.Clock(a.TargetInS) + " min"}
	if a.StandS < a.HoldS { // what to do once it is full: no small print
		if stand := "; " + a.StandOrder(); r.Width()+canvas.Cells(stand) <= w {
			r = r.Add(m.ink(canvas.Strong), stand)
		}
	}
	if a.Verdict == plan.Go { // slower is as fast as the limit allows: there is none left
		parts = append(parts, "; "+a.RoomText(m.units)+" to limit")
	}
	for _, part := range parts {
		if r.Width()+canvas.Cells(part) <= w {
			r = r.Add(m.ink(canvas.Text), part)
		}
	}
	return r.Cut(w, m.g.More)
}

// summary is verdict and reason, beside the help.
func (m Model) summary() []canvas.Row {
	if m.waiting() {
		return []canvas.Row{nil}
	}
	word, _ := m.word()
	word = " " + word + ":"
	out := m.reason(m.w - canvas.Cells(word))
	out[0] = append(canvas.RowOf(m.ink(canvas.Strong), word), out[0]...)
	return out
}
