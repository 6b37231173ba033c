package screen

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/headline"
	"fillwright/internal/leak"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// column is one column of the table of stations.
type column struct {
	title string
	width int
	cell  func(v *view, st *monitor.Station, w int) canvas.Span
}

// stationColumns is in the order of importance: narrow windows lose the last.
var stationColumns = [...]column{
	{"hottest", 8, func(v *view, st *monitor.Station, w int) canvas.Span { return v.temperature(st.HottestK, w) }},
	{"band", 6, func(v *view, st *monitor.Station, w int) canvas.Span { return v.band(st.BandK, w) }},
	{"inner", 7, func(v *view, st *monitor.Station, w int) canvas.Span { return v.temperature(st.InnerK, w) }},
	{"outer", 7, func(v *view, st *monitor.Station, w int) canvas.Span { return v.temperature(st.OuterK, w) }},
	{"sensor", 7, func(v *view, st *monitor.Station, w int) canvas.Span { return v.temperature(st.SensorK, w) }},
	{"by hand", 8, (*view).byHand},
	{"age", 6, (*view).byHandAge},
	{"air+sun", 8, func(v *view, st *monitor.Station, w int) canvas.Span { return v.temperature(st.OutsideK, w) }},
}

// byHand is the last hand-held reading; it is always an old one, so it has
// no mark but its age, beside it where there is room.
func (v *view) byHand(st *monitor.Station, w int) canvas.Span {
	return canvas.SpanOf(canvas.Text, canvas.Right(v.Units.TemperatureNumber(st.SurfaceK), w)+" ")
}

// byHandAge is how long ago that reading was taken.
func (v *view) byHandAge(st *monitor.Station, w int) canvas.Span {
	age := v.shown.TimeS - st.SurfaceS
	switch {
	case math.IsNaN(st.SurfaceK) || math.IsNaN(age):
		return canvas.SpanOf(canvas.Label, canvas.Right("", w)+" ")
	}
	return canvas.SpanOf(canvas.Label, canvas.Right(clock(math.Max(age, 0)), w)+" ")
}

const nameCells = 9

// wall is the table of stations, the hottest pointed at.
func (v *view) wall(rows, w int) []canvas.Row {
	head := canvas.RowOf(canvas.Label, canvas.Left("WALL "+v.temperatureUnit(), nameCells))
	n := 0
	for used := nameCells; n < len(stationColumns) && used+stationColumns[n].width+1 <= w-2; n++ {
		used += stationColumns[n].width + 1
		head = head.Add(canvas.Label, canvas.Right(stationColumns[n].title, stationColumns[n].width)+" ")
	}
	out := []canvas.Row{head}
	for i := range v.shown.Stations {
		st := &v.shown.Stations[i]
		r := canvas.RowOf(canvas.Text, canvas.Left(v.clean(st.Name), nameCells-1)+" ")
		for _, c := range stationColumns[:n] {
			r = append(r, c.cell(v, st, c.width))
		}
		if i == v.shown.Hottest && len(v.shown.Stations) > 1 {
			r = r.Add(canvas.Strong, " "+v.g.Here)
		}
		out = append(out, r)
	}
	if len(v.shown.Stations) == 0 && rows > 1 {
		out = append(out, canvas.RowOf(canvas.Label, "no estimate yet"))
	}
	if v.shown.Sides.Known {
		out = append(out, v.sides(w))
	}
	return out
}

// gas is what is inside, and the air around.
func (v *view) gas(_, w int) []canvas.Row {
	s := v.shown
	u := v.temperatureUnit()
	r := canvas.RowOf(canvas.Label, canvas.Left("GAS "+u, nameCells))
	r = append(r, v.temperature(s.GasK, 8), v.band(s.GasBandK, 6))
	if why := headline.Inferred(v.shown); why != "" {
		r = r.Add(canvas.Strong, canvas.Left("  "+why, 15)) // in the place of the probe's own value
	} else {
		r = r.Add(canvas.Label, "  probe")
		r = append(r, v.temperature(s.BeadK, 7))
	}
	if mass := w >= 70; s.SecondK > 0 && (!mass && w >= 67 || w >= 81) {
		r = r.Add(canvas.Label, " and")
		r = append(r, v.temperature(s.SecondK, 6))
	}
	r = r.Add(canvas.Label, " ambient")
	r = append(r, v.temperature(s.AmbientK, 7))
	if w >= 70 {
		r = r.Add(canvas.Label, " mass")
		r = append(r, v.value(massNumber(s.GasMassKg), 8)).Add(canvas.Label, "g")
	}
	return []canvas.Row{r}
}

func massNumber(kg float64) string {
	n, _, _ := strings.Cut(quantity.SystemBarC.Mass(kg), " ")
	return n
}

// after is what follows when the supply is shut.
func (v *view) after(rows, w int) []canvas.Row {
	s := v.shown
	r := canvas.RowOf(canvas.Label, canvas.Left("AFTER", nameCells))
	if v.settles() {
		r = append(r.Add(canvas.Label, canvas.Left(v.settleLabel(), 15)), v.value(v.Units.PressureNumber(s.Outlook.SettlePa), 6)).
			Add(canvas.Label, v.unit(v.Units.PressureUnit())+"  ")
	}
	if s.Phase == phase.Holding {
		text, why := v.timeLeft()
		r = r.Add(canvas.Label, "left ").Add(canvas.Strong, canvas.Right(text, 7)).Add(canvas.Label, " "+canvas.Left(why, 11))
	}
	if len(r) == 1 {
		r = r.Add(canvas.Label, quantity.Unknown)
	}
	switch {
	case rows > 1:
		return []canvas.Row{r, append(canvas.RowOf(canvas.Label, canvas.Left("LEAK", nameCells)), v.leak(true)...)}
	case w >= 72:
		r = append(r.Add(canvas.Label, " leak "), v.leak(w >= 92)...)
	}
	return []canvas.Row{r}
}

// leak is the verdict on a pressure drop, with its rate and uncertainty.
func (v *view) leak(long bool) canvas.Row {
	if v.shown.Phase == phase.Venting && !v.shown.Leak.Significant {
		return canvas.RowOf(canvas.Label, "not told while gas leaves")
	}
	return v.leakOf(&v.shown.Leak, v.shown.Leak.Significant, long)
}

// settleLabel says of what the settled pressure is: while it stands, of the
// gas that is in it; else of the fill that is advised.
func (v *view) settleLabel() string {
	if v.shown.Phase == phase.Holding {
		return "settles at"
	}
	return "then settles at"
}

func (v *view) leakOf(l *leak.Verdict, seen, long bool) canvas.Row {
	if math.IsNaN(l.RateKgS) {
		return canvas.RowOf(canvas.Label, "not known")
	}
	r := canvas.RowOf(canvas.Text, "none seen")
	if seen {
		r = canvas.RowOf(canvas.Caution, v.g.Caution+" YES")
	}
	if !long {
		return r
	}
	rate, band := l.RateKgS*6e4, l.BandKgS*6e4
	worth := quantity.Decimals(band)
	text := fmt.Sprintf("  %.*f %s%.*f", worth, rate, v.g.PlusMinus, worth, band)
	return r.Add(canvas.Text, text+v.oldMark()).Add(canvas.Label, "g/min")
}

// trust says whether sensors and model can be relied on.
func (v *view) trust(rows, w int) []canvas.Row {
	sensors := append(canvas.RowOf(canvas.Label, canvas.Left("SENSORS", nameCells)), v.sensors()...)
	model := append(canvas.RowOf(canvas.Label, canvas.Left("MODEL", nameCells)), v.model()...)
	if rows > 1 {
		return []canvas.Row{sensors, model}
	}
	if v.illSensors() > 0 {
		return []canvas.Row{sensors}
	}
	return []canvas.Row{append(sensors.Add(canvas.Label, "  MODEL "), v.model()...)}
}

func (v *view) illSensors() int {
	n := 0
	for i := range v.Now.Sensors {
		if v.Now.Sensors[i].Health != probe.HealthGood {
			n++
		}
	}
	return n
}

// sensors names those that are ill, or says that all are well.
func (v *view) sensors() canvas.Row {
	all := v.Now.Sensors
	ill := v.illSensors()
	switch {
	case len(all) == 0:
		return canvas.RowOf(canvas.Label, "none heard of yet")
	case v.Stale():
		return canvas.RowOf(canvas.Label, "not known: no data")
	case ill == 0:
		return canvas.RowOf(canvas.Text, "all "+strconv.Itoa(len(all))+" good")
	}
	parts := make([]string, 0, ill)
	for i := range all {
		if all[i].Health != probe.HealthGood {
			parts = append(parts, headline.SensorName(&all[i])+": "+headline.HealthText(all[i].Health))
		}
	}
	text := strings.Join(parts, "; ")
	if ill > 1 { // names are cut first in narrow windows
		text = strconv.Itoa(ill) + " of " + strconv.Itoa(len(all)) + " ill: " + text
	}
	return canvas.RowOf(canvas.Caution, v.g.Caution+" "+v.clean(text))
}

// model says where the estimate comes from, and why its band is wide.
func (v *view) model() canvas.Row {
	m := &v.Now.Model
	if m.Name == "" {
		return canvas.RowOf(canvas.Label, "none yet")
	}
	text := m.Name
	if m.Fills > 0 {
		text += ", from " + strconv.Itoa(m.Fills) + " fills"
	}
	r := canvas.RowOf(canvas.Text, v.clean(text))
	if !m.Widened.Empty() {
		r = r.Add(canvas.Strong, "  band widened: "+v.clean(m.Widened.In(v.Units)))
	}
	return r
}

// events is what happened, the newest first.
func (v *view) events(rows, w int) []canvas.Row {
	all := v.Now.Events
	if len(all) == 0 {
		return []canvas.Row{canvas.RowOf(canvas.Label, canvas.Left("EVENTS", nameCells)+"none yet")}
	}
	var out []canvas.Row
	for i := len(all) - 1; i >= 0 && len(out) < rows; i-- {
		label := ""
		if len(out) == 0 {
			label = "EVENTS"
		}
		out = append(out, canvas.RowOf(canvas.Label, canvas.Left(label, nameCells)+canvas.Right(clock(math.Max(all[i].TimeS, 0)), 7)+"  ").
			Add(canvas.Text, canvas.Cut(v.clean(all[i].Text.In(v.Units)), max(w-nameCells-9, 0), v.g.More)))
	}
	return out
}
