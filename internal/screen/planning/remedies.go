package planning

import (
	"fmt"
	"slices"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/screen/canvas"
)

// ordered are the remedies as they stand in the table, the best first, once it is
// worked out. Each keeps its digit, wherever it stands.
func (m Model) ordered() []plan.Remedy {
	list := slices.DeleteFunc(m.setup.Remedies(), func(r plan.Remedy) bool { // half of the least ramp
		return len(m.table.Alone) > 0 && m.effectOf(r.Key) == nil && !slices.Contains(m.on, r.Key)
	})
	slices.SortStableFunc(list, func(a, b plan.Remedy) int { return m.place(a.Key) - m.place(b.Key) })
	return list
}

// place is the row of a remedy in the comparison, the last where it has none.
func (m Model) place(key string) int {
	at := slices.IndexFunc(m.table.Alone, func(e plan.Effect) bool { return e.Keys[0] == key })
	if at < 0 {
		return len(m.table.Alone)
	}
	return at
}

// effectOf is what a remedy comes to, nil until it is worked out.
func (m Model) effectOf(key string) *plan.Effect {
	if at := m.place(key); at < len(m.table.Alone) {
		return &m.table.Alone[at]
	}
	return nil
}

// remedies are the table in at most some rows: a key, whether it is in place, and what
// it comes to beside those that are. Where not all have room, the last row says how to see
// the others.
func (m Model) remedies(w, rows int) []canvas.Row {
	if rows < 2 {
		return nil
	}
	pages := m.pages(rows - 2) // the head, and the last row
	page := pages[m.page%len(pages)]
	title := " remedy"
	if len(m.on) > 0 {
		title = " remedy, beside [x]"
	}
	out := []canvas.Row{canvas.RowOf(canvas.Label, canvas.Left(title, remedyCells-1)+m.tableHead(w)).Cut(w, m.g.More)}
	for _, r := range page {
		box, role := "[ ]", canvas.Text
		if slices.Contains(m.on, r.Key) {
			box, role = "[x]", canvas.Strong
		}
		name := canvas.Cut(m.spell(m.setup.Told(r.Name, m.units)), remedyCells-remedyAt, m.g.More)
		row := canvas.RowOf(canvas.Strong, " "+string(r.Digit)).Add(role, " "+box+" "+canvas.Left(name, remedyCells-remedyAt))
		if e := m.effectOf(r.Key); e != nil && !m.trouble {
			row = m.effect(row, e, w)
		}
		out = append(out, row.Cut(w, m.g.More))
	}
	return append(out, m.lastRow(w, len(pages), m.page%len(pages)))
}

// tableHead are the columns' names after the remedies'.
func (m Model) tableHead(w int) string {
	gain := m.spell("gain " + m.units.TemperatureUnit())
	head := canvas.Right(gain, gainCells+1) + canvas.Right(m.units.RampUnit(), rampCells) + canvas.Right("min:s", clockCells)
	if m.answer.Verdict == plan.NoGo && !m.waiting() {
		head = canvas.Right(gain, gainCells+1) + canvas.Right("then "+m.units.RampUnit(), rampCells+clockCells)
	}
	if w >= costFrom {
		head += "  costs"
	}
	return head
}

// lastRow is how to see the others, and the best two together: by their names where
// those have room.
func (m Model) lastRow(w, pages, page int) canvas.Row {
	r := canvas.RowOf(canvas.Text, " ")
	if pages > 1 {
		r = r.Add(canvas.Strong, "r").Add(canvas.Label, fmt.Sprintf(" the rest (%d of %d)  ", page+1, pages))
	}
	both := &m.table.Both
	if len(both.Keys) == 0 || m.trouble {
		return r
	}
	then, short := "still no-go", "no-go"
	switch {
	case both.RampPaS > 0 && m.answer.Verdict == plan.NoGo:
		word, most := both.IfDone(&m.setup, m.units)
		short = strings.TrimRight(word+" "+most, " ")
		then = "then " + short + " " + m.units.RampUnit()
	case both.RampPaS > 0:
		short = m.units.Ramp(both.RampPaS)
		then = "then at most " + short
	}
	digits := make([]string, 0, 2)
	for _, key := range both.Keys {
		list := m.setup.Remedies()
		if at := slices.IndexFunc(list, func(r plan.Remedy) bool { return r.Key == key }); at >= 0 {
			digits = append(digits, string(list[at].Digit))
		}
	}
	title := "best two: "
	if len(m.on) > 0 {
		title = "best two more, [x] kept: "
	}
	gain, keys := ": +"+m.units.Difference(both.GainK)+", ", strings.Join(digits, " and ")
	for _, say := range [][2]string{{m.setup.Told(both.Name, m.units), then}, {keys, then}, {keys, short}} {
		if r.Width()+canvas.Cells(title+say[0]+gain+say[1]) <= w {
			return r.Add(canvas.Label, title+say[0]).Add(m.worked(), gain+say[1])
		}
	}
	return r
}

// pages are the remedies by what has room at a time, n rows. On the first are the best,
// what is in place, and a wrap that dries too soon, which somebody may have in hand.
func (m Model) pages(n int) [][]plan.Remedy {
	list := m.ordered()
	first := slices.Clone(list)
	for at := len(first) - 1; at >= 0 && len(first) > n; at-- {
		e := m.effectOf(first[at].Key)
		if !slices.Contains(m.on, first[at].Key) && !(e != nil && e.Use() == plan.UseDries) {
			first = slices.Delete(first, at, at+1)
		}
	}
	first = first[:max(min(n, len(first)), 0)]
	out := [][]plan.Remedy{first}
	rest := slices.DeleteFunc(slices.Clone(list), func(r plan.Remedy) bool {
		return slices.ContainsFunc(first, func(f plan.Remedy) bool { return f.Key == r.Key })
	})
	for ; len(rest) > 0 && n > 0; rest = rest[min(n, len(rest)):] {
		out = append(out, rest[:min(n, len(rest))])
	}
	return out
}

// Cells of the table's columns, and the width from which on the costs have room.
const (
	remedyAt    = 7 // where the name begins
	remedyCells = 29
	gainCells   = 6
	rampCells   = 8
	clockCells  = 7
	costFrom    = remedyCells + gainCells + rampCells + clockCells + 24
)

// worked is the role of what the comparison says: old until it is worked out.
func (m Model) worked() canvas.Role {
	if m.stale || !m.full {
		return canvas.Old
	}
	return canvas.Text
}

// effect is what a remedy comes to. What is of no use says so in place of numbers,
// beside them where there is room for the reason; and a no-go's table has its ramps behind
// the word that they hang on.
func (m Model) effect(row canvas.Row, e *plan.Effect, w int) canvas.Row {
	gain, ramp, in := e.Figures(m.units)
	use := e.Use()
	wide, rest := w >= costFrom, rampCells+clockCells
	numbers := canvas.Right(ramp, rampCells) + canvas.Right(in, clockCells)
	if m.answer.Verdict == plan.NoGo {
		word, most := e.IfDone(&m.setup, m.units)
		numbers = canvas.Right(strings.TrimRight(word+" "+most, " "), rest)
	}
	switch {
	case use == plan.UseUnknown && e.Needs != "" && !wide:
		return row.Add(canvas.Label, canvas.Right("say "+e.Needs, gainCells+rest))
	case use == plan.UseDries && !wide:
		return row.Add(canvas.Caution, canvas.Right("dry too soon", gainCells+rest))
	case use == plan.UseLater && !wide:
		return row.Add(m.worked(), canvas.Right(gain, gainCells)).Add(canvas.Label, canvas.Right("not today", rest))
	}
	row = row.Add(m.worked(), canvas.Right(gain, gainCells)+numbers)
	switch {
	case !wide:
		return row
	case use == plan.UseDries:
		return row.Add(canvas.Caution, "  "+e.CostText())
	}
	return row.Add(canvas.Label, "  "+e.CostText())
}
