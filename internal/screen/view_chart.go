package screen

import (
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
)

// windowsS are the lengths of the past that the chart can show; a third as
// much again is left for the forecast.
var windowsS = [...]float64{180, 60, 600, 1800, 7200}

// signs of the curves; the hottest wall is a connected line.
type chartSigns struct{ hottest, gas, ahead, onset, reserve, pinned string }

var (
	unicodeSigns = chartSigns{"─", "·", "+", "━", "╌", "×"}
	asciiSigns   = chartSigns{"*", ".", "+", "=", "-", "x"}
)

// chart shows the past of the hottest wall and the gas, the forecast, and the
// lines that must not be reached.
func (v *view) chart(rows, w int) []row {
	if top := v.aboveChart(rows, w); len(top) > 0 {
		if rest := rows - len(top); rest >= axisRows {
			return append(top, v.plot(rest, w)...)
		}
		return top
	}
	return v.plot(rows, w)
}

// plot is the chart itself.
func (v *view) plot(rows, w int) []row {
	signs := &unicodeSigns
	if v.g.ascii {
		signs = &asciiSigns
	}
	f := plotFrame{rows: rows - 1, width: w, ascii: v.g.ascii}
	if rows >= axisRows {
		f.rows--
	}
	n := f.columns()
	if n < 12 || f.rows < plotLeast {
		return nil
	}
	ahead := n / 4
	past := n - ahead
	out := []row{v.legend(signs, w, past, ahead, rows < axisRows, f.rows >= gasRows)}
	curves := v.curves(signs, past, ahead)
	if f.rows < gasRows {
		curves[gasCurve].y = nil // the scale is for the wall alone
	}
	onset, limit := v.walls()
	f.chartScale(curves, onset, limit)
	lines := f.draw(curves)
	for _, line := range lines {
		out = append(out, rowOf(roleText, line))
	}
	if rows >= axisRows {
		out = append(out, rowOf(roleLabel, v.timeAxis(past, ahead)))
	}
	return out
}

// axisRows is the height from which on the chart has a row for its times.
const axisRows = 7

// coasts says whether the forecast is that of a fill that stops now.
func (v *view) coasts() bool { return coasts(v.shown) }

func coasts(s *monitor.Snapshot) bool {
	return verdictIsAbort(s.Advice.Verdict) || s.Advice.RampPaS == 0 || len(s.Outlook.Path) == 0
}

// legend names the curves; nothing is told by colour. Low charts have their
// times here too.
func (v *view) legend(s *chartSigns, w, past, ahead int, times, gas bool) row {
	forecast := "at advised ramp"
	switch {
	case v.coasts() && v.shown.Phase == monitor.PhaseVenting:
		forecast = "if vent shut"
	case v.coasts() && v.shown.Phase == monitor.PhaseHolding:
		forecast = "kept shut"
	case v.coasts():
		forecast = "if shut now"
	}
	items := []string{s.hottest + " hottest wall", s.ahead + " " + forecast, s.onset + " onset", s.reserve + " limit"}
	if gas {
		items = append(items, s.gas+" gas")
	}
	if times {
		span := "last " + clock(v.windowS) + ", next " + clock(v.windowS/float64(past)*float64(ahead))
		items = []string{span, s.hottest + " hottest", s.ahead + " " + forecast, s.onset + " onset", s.reserve + " limit"}
	}
	if v.pin != nil { // what the operator asked for stands first
		items = append([]string{s.pinned + " " + v.pin.verdict(v)}, items...)
	}
	r := rowOf(roleLabel, left("AHEAD "+v.temperatureUnit(), nameCells))
	for _, item := range items {
		if r.width()+cells(item) > w {
			break
		}
		r = r.add(roleText, item+"  ")
	}
	return r
}

const gasCurve = 0 // place of the gas among the curves

// curves are drawn in this order: the later lies on top.
func (v *view) curves(signs *chartSigns, past, ahead int) []curve {
	s := v.shown
	each := v.windowS / float64(past)
	buckets := v.hist.columns(s.TimeS-v.windowS, s.TimeS, past)
	gas, hottest := unknownColumns(past), unknownColumns(past)
	before := math.NaN()
	for i, b := range buckets {
		hottest[i] = v.u.TemperatureValue(b.hottest.high)
		gas[i] = v.u.TemperatureValue(farther(b.gas, before))
		before = farther(b.gas, before)
	}
	onset, limit := v.walls()
	curves := []curve{gasCurve: {gas, signs.gas}, 1: flat(limit, past+ahead, signs.reserve),
		2: flat(onset, past+ahead, signs.onset), 3: {hottest, ""}}
	if v.pin != nil {
		curves = append(curves, curve{v.pin.curve(v, past, ahead, each), signs.pinned})
	}
	if !v.old {
		curves = append(curves, curve{v.forecast(past, ahead, each), signs.ahead})
	}
	return curves
}

// walls are the temperatures that the wall must and should not reach.
func (v *view) walls() (onset, limit float64) {
	k := float64(v.profile.Resin.Onset)
	return v.u.TemperatureValue(k), v.u.TemperatureValue(k - float64(v.profile.Limits.Reserve))
}

// farther is the end of e that lies farther from before, so that a peak of one
// sample is seen whichever way it points.
func farther(e extent, before float64) float64 {
	if math.IsNaN(before) || math.Abs(e.high-before) >= math.Abs(e.low-before) {
		return e.high
	}
	return e.low
}

// forecast is the hottest wall ahead: at the advised ramp, or if the fill
// stops now where there is none.
func (v *view) forecast(past, ahead int, eachS float64) []float64 {
	path := v.shown.Outlook.Path
	if v.coasts() {
		path = v.shown.Outlook.Coast
	}
	y := unknownColumns(past + ahead)
	for i := range ahead {
		y[past+i] = v.u.TemperatureValue(pathMost(path, float64(i)*eachS, float64(i+1)*eachS))
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

// scaleSteps are the steps a row may have, in the shown unit.
var scaleSteps = [...]float64{1, 2, 3, 4, 5, 6, 8, 9, 10, 15, 20, 50, 100, 200, 500}

// chartScale fits every curve into a frame whose rows lie whole steps from the
// onset: the line that must not be reached is drawn where it is, and the scale
// seldom changes. So is the limit, if that does not make the steps more than
// twice as wide.
func (f *plotFrame) chartScale(curves []curve, onset, limit float64) {
	least, most := onset, onset
	for _, c := range curves {
		for _, y := range c.y {
			if math.Abs(y) < 1000 { // neither unknown nor absurd
				least, most = math.Min(least, y), math.Max(most, y)
			}
		}
	}
	finest := math.Inf(1)
	for _, step := range scaleSteps {
		under := int(max(math.Ceil((onset-least)/step-0.5), math.Ceil((onset-limit)/step-1e-6)))
		over := int(math.Ceil((most-onset)/step - 0.5))
		spare := f.rows - 1 - under - over
		if spare < 0 {
			continue
		}
		rows := (onset - limit) / step
		exact := math.Abs(rows-math.Round(rows)) < 0.01 && rows > 0.5
		if finest = math.Min(finest, step); exact && step <= 2*finest || step == finest {
			f.step, f.anchor = step, under+spare/2
		}
		if exact || step > 2*finest {
			break
		}
	}
	f.low = onset - float64(f.anchor)*f.step
	f.bar = barred{limit, int(math.Floor((limit-f.low)/f.step + 1e-6))}
}

// timeAxis tells past from future.
func (v *view) timeAxis(past, ahead int) string {
	each := v.windowS / float64(past)
	line := []rune(strings.Repeat(" ", axisCells+past+ahead))
	put := func(at int, s string) {
		for i, r := range []rune(s) {
			if at+i >= 0 && at+i < len(line) {
				line[at+i] = r
			}
		}
	}
	put(axisCells, clock(v.windowS)+" ago")
	put(axisCells+past-4, "now")
	put(axisCells+past-1, "|")
	end := "in " + clock(float64(ahead)*each)
	put(len(line)-cells(end), end)
	return string(line)
}
