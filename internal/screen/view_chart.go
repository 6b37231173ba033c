package screen

import (
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
)

// windowsS are the lengths of the past that the chart can show; a third as
// much again is left for the forecast.
var windowsS = [...]float64{180, 60, 600, 1800, 7200}

// signs of the curves; the hottest wall is a connected line.
type chartSigns struct{ hottest, gas, ahead, onset, reserve, pinned, planned string }

var (
	unicodeSigns = chartSigns{"─", "·", "+", "━", "╌", "×", "∙"}
	asciiSigns   = chartSigns{"*", ".", "+", "=", "-", "x", "'"}
)

// chart shows the past of the hottest wall and the gas, the forecast, and the
// lines that must not be reached.
func (v *view) chart(rows, w int) []canvas.Row {
	if top := v.aboveChart(rows, w); len(top) > 0 {
		if rest := rows - len(top); rest >= axisRows {
			return append(top, v.plot(rest, w)...)
		}
		return top
	}
	return v.plot(rows, w)
}

// plot is the chart itself.
func (v *view) plot(rows, w int) []canvas.Row {
	signs := &unicodeSigns
	if v.g.ASCII {
		signs = &asciiSigns
	}
	f := canvas.Plot{Rows: rows - 1, Width: w, ASCII: v.g.ASCII}
	if rows >= axisRows {
		f.Rows--
	}
	n := f.Columns()
	if n < 12 || f.Rows < canvas.PlotLeast {
		return nil
	}
	ahead := n / 4
	past := n - ahead
	out := []canvas.Row{v.legend(signs, w, past, ahead, rows < axisRows, f.Rows >= gasRows)}
	curves := v.curves(signs, past, ahead)
	if f.Rows < gasRows {
		curves[gasCurve].Y = nil // the scale is for the wall alone
	}
	onset, limit := v.walls()
	f.Scale(curves, onset, limit)
	lines := f.Draw(curves)
	for _, line := range lines {
		out = append(out, canvas.RowOf(canvas.Text, line))
	}
	if rows >= axisRows {
		out = append(out, canvas.RowOf(canvas.Label, v.timeAxis(past, ahead)))
	}
	return out
}

// axisRows is the height from which on the chart has a row for its times.
const axisRows = 7

// coasts says whether the forecast is that of a fill that stops now.
func (v *view) coasts() bool { return coasts(v.shown) }

func coasts(s *monitor.Snapshot) bool {
	return headline.IsAbort(s.Advice.Verdict) || s.Advice.RampPaS == 0 || len(s.Outlook.Path) == 0
}

// legend names the curves; nothing is told by colour. Low charts have their
// times here too.
func (v *view) legend(s *chartSigns, w, past, ahead int, times, gas bool) canvas.Row {
	forecast := "at advised ramp"
	switch {
	case v.coasts() && v.shown.Phase == phase.Venting:
		forecast = "if vent shut"
	case v.coasts() && v.shown.Phase == phase.Holding:
		forecast = "kept shut"
	case v.coasts():
		forecast = "if shut now"
	}
	onset, limit := v.walls()
	lines := []string{s.onset + " onset " + canvas.Whole(onset), s.reserve + " limit " + canvas.Whole(limit)}
	items := []string{s.hottest + " hottest wall", s.ahead + " " + forecast}
	if v.AfterFill() {
		items = items[:1] // no gas is asked for
	}
	items = append(items, lines...)
	if v.planned != nil {
		items[0] = s.hottest + " hottest" // the planned one has no room else
		items = append(items, s.planned+" planned")
	}
	if gas {
		items = append(items, s.gas+" gas")
	}
	if times {
		span := "last " + clock(v.windowS) + ", next " + clock(v.windowS/float64(past)*float64(ahead))
		items[0] = s.hottest + " hottest"
		items = append([]string{span}, items...)
	}
	if v.pin != nil { // what the operator asked for stands first
		items = append([]string{s.pinned + " " + v.pin.verdict(v)}, items...)
	}
	r := canvas.RowOf(canvas.Label, canvas.Left("AHEAD "+v.temperatureUnit(), nameCells))
	for _, item := range items {
		if r.Width()+canvas.Cells(item) > w {
			break
		}
		r = r.Add(canvas.Text, item+"  ")
	}
	return r
}

const gasCurve = 0 // place of the gas among the curves

// curves are drawn in this order: the later lies on top.
func (v *view) curves(signs *chartSigns, past, ahead int) []canvas.Curve {
	s := v.shown
	each := v.windowS / float64(past)
	gas, hottest := canvas.Unknown(past), canvas.Unknown(past)
	before := math.NaN()
	for i, r := range v.hist.over(s.TimeS-v.windowS, s.TimeS, past) {
		hottest[i] = v.Units.TemperatureValue(r.High[trailHottest])
		before = farther(r.Low[trailGas], r.High[trailGas], before)
		gas[i] = v.Units.TemperatureValue(before)
	}
	onset, limit := v.walls()
	curves := []canvas.Curve{gasCurve: {Y: gas, Sign: signs.gas}, 1: canvas.Flat(limit, past+ahead, signs.reserve),
		2: canvas.Flat(onset, past+ahead, signs.onset), 3: {Y: hottest}}
	if v.planned != nil {
		curves = append(curves, canvas.Curve{Y: v.planned.curve(v, past, ahead, each), Sign: signs.planned})
	}
	if v.pin != nil {
		curves = append(curves, canvas.Curve{Y: v.pin.curve(v, past, ahead, each), Sign: signs.pinned})
	}
	if !v.old && !v.AfterFill() {
		curves = append(curves, canvas.Curve{Y: v.forecast(past, ahead, each), Sign: signs.ahead})
	}
	return curves
}

// walls are the temperatures that the wall must and should not reach.
func (v *view) walls() (onset, limit float64) {
	k := float64(v.profile.Resin.Onset)
	return v.Units.TemperatureValue(k), v.Units.TemperatureValue(k - float64(v.profile.Limits.Reserve))
}

// farther is the end of a stretch that lies farther from before, so that a peak of one
// sample is seen whichever way it points.
func farther(low, high, before float64) float64 {
	if math.IsNaN(before) || math.Abs(high-before) >= math.Abs(low-before) {
		return high
	}
	return low
}

// forecast is the hottest wall ahead: at the advised ramp, or if the fill
// stops now where there is none.
func (v *view) forecast(past, ahead int, eachS float64) []float64 {
	path := v.shown.Outlook.Path
	if v.coasts() {
		path = v.shown.Outlook.Coast
	}
	y := canvas.Unknown(past + ahead)
	for i := range ahead {
		y[past+i] = v.Units.TemperatureValue(pathMost(path, float64(i)*eachS, float64(i+1)*eachS))
	}
	return y
}

// pathMost is the greatest of a forecast between two times, interpolated at
// both ends; NaN outside of it.
func pathMost(path []advise.Point, fromS, toS float64) float64 {
	most := math.NaN()
	for i := range path {
		p := &path[i]
		if p.InS >= fromS && p.InS <= toS && !(p.HottestK <= most) {
			most = p.HottestK
		}
		if i == 0 {
			continue
		}
		q := &path[i-1]
		for _, t := range [...]float64{fromS, toS} {
			if q.InS <= t && t <= p.InS && p.InS > q.InS {
				x := q.HottestK + (p.HottestK-q.HottestK)*(t-q.InS)/(p.InS-q.InS)
				if !(x <= most) {
					most = x
				}
			}
		}
	}
	return most
}

// gasRows is the height from which on the gas has room beside the wall.
const gasRows = 6

// timeAxis tells past from future.
func (v *view) timeAxis(past, ahead int) string {
	each := v.windowS / float64(past)
	line := []rune(strings.Repeat(" ", canvas.AxisCells+past+ahead))
	put := func(at int, s string) {
		for i, r := range []rune(s) {
			if at+i >= 0 && at+i < len(line) {
				line[at+i] = r
			}
		}
	}
	put(canvas.AxisCells, clock(v.windowS)+" ago")
	put(canvas.AxisCells+past-4, "now")
	put(canvas.AxisCells+past-1, "|")
	end := "in " + clock(float64(ahead)*each)
	put(len(line)-canvas.Cells(end), end)
	return string(line)
}
