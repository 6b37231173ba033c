package planning

import (
	"slices"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// ordered are the remedies as they stand in the table, the best first, once it is
// worked out. Switching one on or off does not change their order.
func (m Model) ordered() []plan.Remedy {
	list := m.setup.Remedies()
	place := func(r plan.Remedy) int {
		at := slices.IndexFunc(m.table.Alone, func(e plan.Effect) bool { return e.Keys[0] == r.Key })
		if at < 0 {
			return len(m.table.Alone)
		}
		return at
	}
	slices.SortStableFunc(list, func(a, b plan.Remedy) int { return place(a) - place(b) })
	return list
}

// remediesMost is how many have a key.
const remediesMost = 10

// remedies are the table: a key, whether it is in place, and what it comes to.
func (m Model) remedies(w int) []canvas.Row {
	head := canvas.Left(" remedy", remedyCells) + canvas.Right("margin", gainCells) + canvas.Right(m.units.RampUnit(), rampCells) + canvas.Right("target", clockCells)
	if w >= costFrom {
		head += "  costs"
	}
	out := []canvas.Row{canvas.RowOf(canvas.Label, head).Cut(w, m.g.More)}
	for i, r := range m.ordered() {
		if i == remediesMost {
			break
		}
		box, role := "[ ]", canvas.Text
		if slices.Contains(m.on, r.Key) {
			box, role = "[x]", canvas.Strong
		}
		row := canvas.RowOf(canvas.Strong, " "+string(rune('0'+(i+1)%10))).Add(role, " "+box+" "+canvas.Left(canvas.Cut(plan.Told(r.Name, m.units), remedyCells-8, m.g.More), remedyCells-7))
		if at := slices.IndexFunc(m.table.Alone, func(e plan.Effect) bool { return e.Keys[0] == r.Key }); at >= 0 {
			row = m.effect(row, &m.table.Alone[at], w)
		}
		out = append(out, row)
	}
	if both := &m.table.Both; len(both.Keys) > 0 && w >= bothFrom {
		row := canvas.RowOf(canvas.Label, " best two: "+plan.Told(both.Name, m.units))
		out = append(out, row.Add(m.ink(canvas.Text), ": +"+m.units.Difference(both.GainK)+", then at most "+m.units.Ramp(both.RampPaS)).Cut(w, m.g.More))
	}
	return out
}

// Cells of the table's columns, and the widths from which on the costs and the
// best two have room.
const (
	remedyCells = 26
	gainCells   = 7
	rampCells   = 9
	clockCells  = 7
	costFrom    = remedyCells + gainCells + rampCells + clockCells + 8
	bothFrom    = 90
)

// effect is what a remedy comes to.
func (m Model) effect(row canvas.Row, e *plan.Effect, w int) canvas.Row {
	role := canvas.Text
	if m.stale || !m.full {
		role = canvas.Old
	}
	gain := m.units.DifferenceNumber(e.GainK)
	if e.GainK >= 0 {
		gain = "+" + gain
	}
	ramp, in := m.units.RampNumber(e.RampPaS), quantity.Clock(e.FillS)
	if e.RampPaS == 0 {
		ramp, in = "no-go", quantity.Unknown
	}
	row = row.Add(role, canvas.Right(gain, gainCells)+canvas.Right(ramp, rampCells)+canvas.Right(in, clockCells))
	if w < costFrom && e.Expires {
		return row.Add(canvas.Caution, "!")
	}
	if w < costFrom {
		return row
	}
	if e.Expires {
		return row.Add(canvas.Caution, "  DRY BEFORE THE TARGET").Cut(w, m.g.More)
	}
	return row.Add(canvas.Label, "  "+e.Cost).Cut(w, m.g.More)
}
