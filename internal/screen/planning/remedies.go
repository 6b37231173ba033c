package planning

import (
	"fmt"
	"slices"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// ordered are the remedies as they stand in the table, the best first, once it is
// worked out. Each keeps its digit, wherever it stands.
func (m Model) ordered() []plan.Remedy {
	list := m.setup.Remedies()
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

// remedies are the table in at most some rows: a key, whether it is in place, and
// what it comes to beside those that are.
func (m Model) remedies(w, rows int) []canvas.Row {
	list := m.ordered()
	shown := min(len(list), max(rows-1, 0))
	title := " remedy"
	if shown < len(list) {
		title = fmt.Sprintf(" %d of %d remedies", shown, len(list))
	}
	if len(m.on) > 0 {
		title = strings.TrimSuffix(title, " remedies") + ", beside [x]"
	}
	head := canvas.Left(title, remedyCells) + canvas.Right("gain "+m.units.TemperatureUnit(), gainCells) + canvas.Right(m.units.RampUnit(), rampCells) + canvas.Right("min:s", clockCells)
	if w >= costFrom {
		head += "  costs"
	}
	out := []canvas.Row{canvas.RowOf(canvas.Label, head).Cut(w, m.g.More)}
	for _, r := range m.best(list, shown) {
		box, role := "[ ]", canvas.Text
		if slices.Contains(m.on, r.Key) {
			box, role = "[x]", canvas.Strong
		}
		name := canvas.Cut(plan.Told(r.Name, m.units), remedyCells-remedyAt, m.g.More)
		row := canvas.RowOf(canvas.Strong, " "+string(r.Digit)).Add(role, " "+box+" "+canvas.Left(name, remedyCells-remedyAt))
		if e := m.effectOf(r.Key); e != nil {
			row = m.effect(row, e, w)
		}
		out = append(out, row.Cut(w, m.g.More))
	}
	if both := &m.table.Both; len(both.Keys) > 0 && w >= bothFrom && len(out) < rows {
		ramp := "still no-go"
		if both.RampPaS > 0 {
			ramp = "then at most " + m.units.Ramp(both.RampPaS)
		}
		row := canvas.RowOf(canvas.Label, " best two: "+plan.Told(both.Name, m.units))
		out = append(out, row.Add(m.worked(), ": +"+m.units.Difference(both.GainK)+", "+ramp).Cut(w, m.g.More))
	}
	return out[:min(len(out), max(rows, 0))]
}

// best are the first of the list; what is in place is always among them, and a
// wrap that dries too soon, which somebody may have in hand.
func (m Model) best(list []plan.Remedy, n int) []plan.Remedy {
	for at := len(list) - 1; at >= 0 && len(list) > n; at-- {
		e := m.effectOf(list[at].Key)
		if !slices.Contains(m.on, list[at].Key) && !(e != nil && e.Use() == plan.UseDries) {
			list = slices.Delete(list, at, at+1)
		}
	}
	return list[:min(n, len(list))]
}

// Cells of the table's columns, and the widths from which on the costs and the
// best two have room.
const (
	remedyAt    = 7 // where the name begins
	remedyCells = 27
	gainCells   = 7
	rampCells   = 9
	clockCells  = 7
	costFrom    = remedyCells + gainCells + rampCells + clockCells + 24
	bothFrom    = 90
)

// worked is the role of what the comparison says: old until it is worked out.
func (m Model) worked() canvas.Role {
	if m.stale || !m.full {
		return canvas.Old
	}
	return canvas.Text
}

// effect is what a remedy comes to. What is of no use says so in place of numbers,
// beside them where there is room for the reason.
func (m Model) effect(row canvas.Row, e *plan.Effect, w int) canvas.Row {
	gain := m.units.DifferenceNumber(e.GainK)
	if e.GainK >= 0 {
		gain = "+" + gain
	}
	ramp, in := m.units.RampNumber(e.RampPaS), quantity.Clock(e.FillS)
	if !(e.RampPaS > 0) {
		ramp, in = "no-go", quantity.Unknown
	}
	use := e.Use()
	wide, numbers := w >= costFrom, gainCells+rampCells+clockCells
	switch {
	case use == plan.UseUnknown && e.Needs != "" && !wide:
		return row.Add(canvas.Label, canvas.Right("say "+e.Needs, numbers))
	case use == plan.UseDries && !wide:
		return row.Add(canvas.Caution, canvas.Right("dry too soon", numbers))
	case use == plan.UseUnknown, use == plan.UseDries: // a number would look like leave
		gain, ramp, in = quantity.Unknown, quantity.Unknown, quantity.Unknown
	case use == plan.UseLater && !wide:
		return row.Add(m.worked(), canvas.Right(gain, gainCells)).Add(canvas.Label, canvas.Right("not today", rampCells+clockCells))
	}
	row = row.Add(m.worked(), canvas.Right(gain, gainCells)+canvas.Right(ramp, rampCells)+canvas.Right(in, clockCells))
	switch {
	case !wide:
		return row
	case use == plan.UseDries:
		return row.Add(canvas.Caution, "  "+e.CostText())
	}
	return row.Add(canvas.Label, "  "+e.CostText())
}
