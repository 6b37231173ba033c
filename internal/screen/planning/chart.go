package planning

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// signs of the curves; the hottest wall is a connected line.
type chartSigns struct{ wall, bound, gas, onset, limit string }

var (
	unicodeSigns = chartSigns{"─", "+", "·", "━", "╌"}
	asciiSigns   = chartSigns{"*", "+", ".", "=", "-"}
)

// heights of a column of the pressure's strip.
var (
	unicodeSteps = []rune(" ▁▂▃▄▅▆▇█")
	asciiSteps   = []rune(" .:-=+*#@")
)

// chart is the forecast: the hottest wall with its band, the gas, what must not be
// reached, and under it the pressure as a strip.
func (m Model) chart(w, rows int) []canvas.Row {
	s := &unicodeSigns
	steps := unicodeSteps
	if m.g.ASCII {
		s, steps = &asciiSigns, asciiSteps
	}
	path := m.answer.Path
	under := 2 // the strip, and a row for the times
	if rows < axisFrom {
		under = 1
	}
	plot := canvas.Plot{Rows: rows - 1 - under, Width: w, ASCII: m.g.ASCII}
	n := plot.Columns()
	if len(path) < 2 || n < 12 || plot.Rows < canvas.PlotLeast {
		return make([]canvas.Row, rows)
	}
	endS := drawnS(path)
	wall, bound, gas := canvas.Unknown(n), canvas.Unknown(n), canvas.Unknown(n)
	strip := make([]rune, n)
	most := 0.0
	onset, limit := m.units.TemperatureValue(m.answer.OnsetK), m.units.TemperatureValue(m.answer.GoalK)
	for i := range n {
		p := at(path, endS*float64(i)/float64(n-1))
		wall[i], bound[i], gas[i] = m.units.TemperatureValue(p.HottestK), m.units.TemperatureValue(p.HottestK+p.BandK), m.units.TemperatureValue(p.GasK)
		if over := p.HottestK + p.BandK - m.answer.GoalK; over > -nearLimitK && over < advise.OverMostK {
			bound[i] = limit // no row's rounding makes room where there is none, nor passes it
		}
		most = math.Max(most, p.PressurePa)
	}
	for i := range n {
		share := at(path, endS*float64(i)/float64(n-1)).PressurePa / math.Max(most, 1)
		strip[i] = steps[int(math.Round(math.Min(math.Max(share, 0), 1)*float64(len(steps)-1)))]
	}
	curves := []canvas.Curve{{Y: gas, Sign: s.gas}, canvas.Flat(limit, n, s.limit), canvas.Flat(onset, n, s.onset), {Y: bound, Sign: s.bound}, {Y: wall}}
	if plot.Rows < 5 {
		curves[0].Y = nil // the scale is for the wall alone
	}
	plot.Scale(curves, onset, limit)
	legend := canvas.RowOf(canvas.Label, " AHEAD "+m.units.TemperatureUnit())
	if under == 1 {
		legend = canvas.RowOf(canvas.Label, " AHEAD "+quantity.Clock(endS)+" min")
	}
	for _, item := range []string{s.wall + " wall", fmt.Sprintf("%s limit %.0f", s.limit, limit), fmt.Sprintf("%s softens %.0f", s.onset, onset), s.bound + " its band", s.gas + " gas"} {
		if legend.Width()+2+canvas.Cells(item) > w {
			break
		}
		legend = legend.Add(canvas.Text, "  "+item)
	}
	out := []canvas.Row{legend}
	for _, line := range plot.Draw(curves) {
		if under == 1 && strings.Contains(line, s.limit+s.limit) { // rows are far apart: what counts has its own value
			line = labelled(line, limit)
		}
		out = append(out, canvas.RowOf(m.ink(canvas.Text), line))
	}
	out = append(out, canvas.RowOf(canvas.Label, canvas.Right(m.units.PressureUnit(), canvas.AxisCells-1)+" ").Add(m.ink(canvas.Text), string(strip)))
	if under == 1 {
		return out
	}
	axis := []rune(strings.Repeat(" ", canvas.AxisCells+n))
	put := func(at int, text string) {
		for i, r := range []rune(text) {
			if at+i >= 0 && at+i < len(axis) {
				axis[at+i] = r
			}
		}
	}
	end := quantity.Clock(endS)
	put(canvas.AxisCells, "first gas")
	put(canvas.AxisCells+n/2-3, quantity.Clock(endS/2))
	put(len(axis)-canvas.Cells(end), end)
	return append(out, canvas.RowOf(canvas.Label, string(axis)))
}

// labelled is a line of a plot with another value at its axis.
func labelled(line string, value float64) string {
	rest := strings.TrimLeft(line, " ")
	old, _, _ := strings.Cut(rest, " ")
	return canvas.Right(fmt.Sprintf("%.0f", value), len(line)-len(rest)+len(old)) + rest[len(old):]
}

// nearLimitK is how near to its limit the wall's bound is drawn at it.
const nearLimitK = 1.0

// axisFrom is the height from which on the chart has a row for its times.
const axisFrom = 8

// drawnS is how much of a forecast is drawn: the fill, and as much again, at least
// three minutes of it.
func drawnS(path []advise.Point) float64 {
	fullS, most := 0.0, math.Inf(-1)
	for _, p := range path {
		if p.PressurePa > most {
			fullS, most = p.InS, p.PressurePa
		}
	}
	return math.Min(path[len(path)-1].InS, math.Max(2*fullS, fullS+180))
}

// at is a forecast at a time, in a straight line between its points.
func at(path []advise.Point, s float64) advise.Point {
	for i := 1; i < len(path); i++ {
		a, b := &path[i-1], &path[i]
		if s > b.InS {
			continue
		}
		x := 0.0
		if b.InS > a.InS {
			x = (s - a.InS) / (b.InS - a.InS)
		}
		mix := func(p, q float64) float64 { return p + x*(q-p) }
		return advise.Point{InS: s, PressurePa: mix(a.PressurePa, b.PressurePa), GasK: mix(a.GasK, b.GasK), HottestK: mix(a.HottestK, b.HottestK), BandK: mix(a.BandK, b.BandK)}
	}
	return path[len(path)-1]
}
