package screen

import (
	"math"
	"strconv"
	"strings"

	"fillwright/internal/headline"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
)

// meter is one of the large numbers with its label and what belongs to it.
type meter struct {
	label, unit string
	number      string
	more        string       // of the label, where there is room
	why         string       // of a number that is not known
	told        bool         // an order: as good as ever on old data
	up          bool         // rounded up where decimals find no room
	details     []canvas.Row // the most important first
}

// numbers draws margin, pressure, and the ramp as it is and as it may be: large
// where there is room, and all alike, since all are read from where the valve is.
func (v *view) numbers(rows, w int) []canvas.Row {
	meters := []meter{v.margin(), v.pressure(), v.ramp(), v.most()}
	if rows < 4 || w < 52 {
		return v.numberRows(meters, rows, w)
	}
	size := canvas.BigThree
	if rows >= 8 {
		size = canvas.BigFiveWide
	}
	each := w / len(meters)
	out := make([]canvas.Row, 1+size.Rows)
	for i := range meters {
		v.fill(out, v.meterRows(&meters[i], size, each-1), each)
	}
	return append(out, v.details(meters, rows-len(out), w)...)
}

// details are the small rows under the large numbers, a cell for margin,
// pressure and time each; in narrow windows what matters most of the last two
// shares a cell.
func (v *view) details(meters []meter, rows, w int) []canvas.Row {
	margin, pressure, ramp := meters[0].details, meters[1].details, meters[2].details
	groups := [][]canvas.Row{margin, pressure, ramp}
	if w < 76 {
		groups = [][]canvas.Row{margin, {pressure[0], ramp[0]}}
	}
	out := make([]canvas.Row, max(rows, 0))
	for _, g := range groups {
		v.fill(out, g, w/len(groups))
	}
	return out
}

// fill sets a cell of w cells beside what is in rows already.
func (v *view) fill(rows, cell []canvas.Row, w int) {
	for y := range rows {
		var r canvas.Row
		if y < len(cell) {
			r = cell[y]
		}
		rows[y] = append(rows[y], r.Fit(w)...)
	}
}

// settles says whether a settled pressure means anything: not in a vessel that
// is emptied, nor after its fill, nor where no fill is advised.
func (v *view) settles() bool {
	if v.shown.Phase == phase.Vented && v.shown.Advice.RampPaS == 0 {
		return false
	}
	return v.shown.Phase != phase.Venting && !v.FillOver()
}

// numberRows is the small form: a row a number, then what matters most of the rest.
func (v *view) numberRows(meters []meter, rows, w int) []canvas.Row {
	var out []canvas.Row
	for i := range meters[:3] {
		m := &meters[i]
		r := canvas.RowOf(canvas.Label, canvas.Left(m.label, 9))
		r = append(r, v.value(m.number, 6)).Add(canvas.Label, m.unit)
		switch {
		case m.why != "":
			r = r.Add(canvas.Text, " "+m.why)
		case i == 2:
			r = append(r.Add(canvas.Label, " at most "), v.value(meters[3].number, 5))
		}
		out = append(out, r)
	}
	details := append(meters[0].details, meters[1].details...)
	out = append(out, details...)
	if rows < 3 {
		return out[:rows]
	}
	return out
}

// meterRows is the large form in w cells: label, then the digits. A number that
// is not known, or not known to be now, is no number: what it was stands small
// beneath it.
func (v *view) meterRows(m *meter, size canvas.BigSize, w int) []canvas.Row {
	r, number, why := canvas.Strong, m.number, m.why
	if v.old && !m.told && number != quantity.Unknown {
		number, why = quantity.Unknown, "was "+number
	}
	if number == quantity.Unknown {
		r = canvas.Label
	}
	room := min(w-2, canvas.BigWidth("-000.0", size)) // a gap, or four numbers are read as one
	if strings.HasPrefix(number, "-") && canvas.BigWidth(number, size) <= w {
		room = w // a small loss is no zero
	}
	if canvas.BigWidth(number, size) > room {
		number = rounded(number, m.up)
	}
	if canvas.BigWidth(number, size) > room {
		number = ">>>"
	}
	label := m.label
	if canvas.Cells(label+m.more) <= w { // rather than the unit
		label += m.more
	}
	if canvas.Cells(label+m.unit)+2 <= w {
		label += "  " + m.unit
	}
	out := []canvas.Row{canvas.RowOf(canvas.Label, label)}
	for _, line := range canvas.BigText(number, size, v.g.Big) {
		out = append(out, canvas.RowOf(r, canvas.Right(line, room)))
	}
	if why != "" && number == quantity.Unknown {
		out[len(out)-1] = canvas.RowOf(canvas.Strong, canvas.Cut(v.clean(why), w, v.g.More)) // the dashes leave it free
	}
	return out
}

// rounded leaves the decimals of a number out, to the side of care.
func rounded(number string, up bool) string {
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return number
	}
	if up {
		return canvas.Whole(math.Ceil(x))
	}
	return canvas.Whole(math.Floor(x))
}

// margin is how close it is: to onset, in time, and if the fill stops now.
func (v *view) margin() meter {
	s := v.shown
	m := meter{label: "MARGIN", more: " to onset", unit: v.temperatureUnit(), number: headline.Margin(v.Units, s.MarginK)}
	if m.number == quantity.Unknown && v.Started() {
		m.why = "wall not known"
	}
	open, coasts := "shut in  ", "if shut   "
	if v.roomy() {
		open, coasts = "shut in     ", "if shut now "
	}
	switch s.Phase {
	case phase.Holding, phase.Venting:
		coasts = canvas.Left("coasts to", len(coasts))
	case phase.Vented:
		coasts = canvas.Left("sun alone", len(coasts))
	}
	t, why := v.MayStayOpen()
	limit := canvas.RowOf(canvas.Label, open).Add(canvas.Strong, canvas.Right(t, 6)).Add(canvas.Label, " "+why)
	if t == headline.AtOnce {
		limit = canvas.RowOf(canvas.Label, "shut ").Add(canvas.Strong, t).Add(canvas.Label, " "+why)
	}
	coast := canvas.RowOf(canvas.Label, coasts)
	coast = append(coast, v.temperature(s.Outlook.CoastPeakK, 5), v.band(s.Outlook.CoastPeakBandK, 4))
	coast = coast.Add(canvas.Label, v.temperatureUnit())
	m.details = []canvas.Row{limit, coast}
	if t == quantity.Unknown && s.Phase != phase.Filling {
		m.details = []canvas.Row{coast} // nothing is open
	}
	return m
}

// roomy says whether the cells of the numbers have room for long labels.
func (v *view) roomy() bool { return v.plan.w >= 93 || v.plan.w >= 60 && v.plan.w < 76 }

// pressure is where it is: against the target and the vessel's limit.
func (v *view) pressure() meter {
	s := v.shown
	m := meter{label: "PRESSURE", up: true, unit: v.unit(v.Units.PressureUnit()), number: v.Units.PressureNumber(s.PressurePa)}
	if why := headline.SensorTrouble(s.Sensors, vessel.RolePressure); why != "" {
		m.number, m.why = quantity.Unknown, "fault: "+why
	} else if m.number == quantity.Unknown && v.Started() {
		m.why = "not known"
	}
	most := "  max "
	if v.roomy() {
		most = "  vessel max "
	}
	target := canvas.RowOf(canvas.Label, "target ").Add(canvas.Text, v.Units.PressureNumber(s.TargetPa)).
		Add(canvas.Label, most).Add(canvas.Text, v.Units.PressureNumber(float64(v.profile.Limits.Pressure)))
	m.details = []canvas.Row{target, v.bar(m.number)}
	return m
}

// barCells is the length of the pressure's bar.
const barCells = 22

// bar shows the pressure between zero and the vessel's limit, with the target.
func (v *view) bar(number string) canvas.Row {
	limit := float64(v.profile.Limits.Pressure)
	if number == quantity.Unknown || !(limit > 0) {
		return canvas.RowOf(canvas.Strong, "read a second gauge") // an empty bar is an empty vessel
	}
	full := part(v.shown.PressurePa, limit, barCells)
	target := min(part(v.shown.TargetPa, limit, barCells), barCells-1)
	var b strings.Builder
	for i := range barCells {
		switch {
		case i == target:
			b.WriteString(v.g.Target)
		case i < full:
			b.WriteString(v.g.Full)
		default:
			b.WriteString(v.g.Empty)
		}
	}
	return canvas.RowOf(canvas.Text, b.String())
}

// part is x of most in n cells, rounded up: nothing is shown as less full,
// but the noise of an empty vessel is nothing.
func part(x, most float64, n int) int {
	const noise = 0.002
	if !(x > noise*most) {
		return 0
	}
	return min(int(math.Ceil(x/most*float64(n))), n)
}
