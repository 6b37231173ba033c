package screen

import (
	"unicode/utf8"

	"fillwright/internal/bend"
	"fillwright/internal/screen/canvas"
)

// wallLines is the room that the wall needs under its titles: a row a station,
// and one for its sides where the profile has plies. It hangs on the profile
// alone, so that nothing jumps.
func (m Model) wallLines() int {
	n := len(m.stations)
	if len(m.opt.Profile.Plies) > 0 {
		n++
	}
	return n
}

// sides is what the warm side does to the vessel, in one row.
func (v *view) sides(w int) canvas.Row {
	s := &v.shown.Sides
	r := canvas.RowOf(canvas.Label, canvas.Left("SIDES", nameCells))
	line := bend.Line(v.clean(s.Warm.Name), s.Bow) + v.oldMark()
	if utf8.RuneCountInString(line) > w-nameCells {
		line = bend.Keeps(v.clean(s.Warm.Name), s.Bow) + v.oldMark()
	}
	return r.Add(canvas.Text, line)
}
