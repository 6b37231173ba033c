package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/review"
)

// Each picture is drawn twice: for a wide window and paper, and for a narrow
// window with type that can still be read.
const (
	wideW, narrowW = 960.0, 380.0
	wideRows       = 700
	narrowRows     = 320
	tableRows      = 24
)

// picture is a drawing with the table behind it.
type picture struct {
	Title, Desc string
	Caption     string // of the table
	Drawings    template.HTML
	Head        []string
	Rows        [][]string
}

// draw makes both drawings of a picture.
func draw(id, title, desc string, h float64, make func(id string, w float64, rows int) *chart) picture {
	var b strings.Builder
	for _, size := range []struct {
		class string
		w     float64
		rows  int
	}{{"wide", wideW, wideRows}, {"narrow", narrowW, narrowRows}} {
		c := make(id+"-"+size.class, size.w, size.rows)
		c.title, c.desc = title, desc
		b.WriteString(c.svg(size.class))
	}
	return picture{Title: title, Desc: desc, Caption: title, Drawings: template.HTML(b.String())}
}

// fillView is a fill that is being drawn.
type fillView struct {
	id     string
	x0, x1 float64 // the time axis of its pictures
	u      quantity.System
	part   *review.Part
	fill   *review.Fill
}

// whole gives the pictures the time axis of the whole fill.
func (f *fillView) whole() *fillView {
	f.x0, f.x1 = f.fill.BeginS, f.fill.EndS
	if rows := f.fill.Course.Rows; len(rows) > 0 {
		f.x0, f.x1 = rows[0].S, rows[len(rows)-1].S+f.fill.Course.StepS
	}
	return f
}

// aroundS is how much is shown before and after the time in which gas came in.
const aroundS = 20.0

// filling is a view of the time in which gas first came in; nil where the whole
// shows that well enough.
func (f *fillView) filling() *fillView {
	if len(f.fill.Ramps) == 0 {
		return nil
	}
	v := *f
	v.id += "g"
	v.x0, v.x1 = math.Max(f.x0, f.fill.BeginS-aroundS), math.Min(f.x1, f.fill.Ramps[0].ToS+aroundS)
	if v.x1-v.x0 > 0.4*(f.x1-f.x0) {
		return nil
	}
	return &v
}

// course is what is drawn of the course, in about so many rows.
func (f *fillView) course(rows int) *review.Course {
	c := f.fill.Course
	return c.Between(f.x0-c.StepS, f.x1, 0).Reduced(rows)
}

func (f *fillView) chart(id string, w, h float64) *chart {
	c := newChart(id, "", w, h, f.x0, f.x1)
	c.xName = "time of the recording, min:s"
	return c
}

// both gives the least and the greatest of each stretch, in the order in which
// the curve most likely went through them.
func both(s *review.Course, col review.Column, value func(float64) float64) []point {
	out := make([]point, 0, 2*len(s.Rows))
	last := math.NaN()
	for i := range s.Rows {
		r := &s.Rows[i]
		first, second := value(float64(r.Low[col])), value(float64(r.High[col]))
		if first == second || math.IsNaN(first) {
			out = append(out, point{r.S + s.StepS/2, first})
		} else {
			if last > (first+second)/2 {
				first, second = second, first
			}
			out = append(out, point{r.S + s.StepS/4, first}, point{r.S + s.StepS*3/4, second})
		}
		last = second
	}
	return out
}

// edge gives one edge of a band: the least or the greatest of each stretch.
func edge(s *review.Course, col review.Column, high bool, value func(float64) float64) []point {
	out := make([]point, 0, len(s.Rows))
	for i := range s.Rows {
		x := s.Rows[i].Low[col]
		if high {
			x = s.Rows[i].High[col]
		}
		out = append(out, point{s.Rows[i].S + s.StepS/2, value(float64(x))})
	}
	return out
}

func (c *chart) reachAll(lists ...[]point) {
	for _, l := range lists {
		for _, p := range l {
			c.reach(p.y)
		}
	}
}

func (f *fillView) pressure() picture {
	v := &f.part.Vessel
	p := draw(f.id+"p", "Pressure", fmt.Sprintf("Pressure over time. It reached %s; the target was %s, the vessel's limit is %s.",
		f.u.Pressure(f.fill.Account.PressureMostPa), f.u.Pressure(f.fill.TargetPa), f.u.Pressure(v.LimitPa)), 220, func(id string, w float64, rows int) *chart {
		c := f.chart(id, w, 220)
		c.yUnit = f.u.PressureUnit()
		course := both(f.course(rows), review.Pressure, f.u.PressureValue)
		c.reachAll(course)
		c.reach(0, f.u.PressureValue(v.LimitPa), f.u.PressureValue(f.fill.TargetPa))
		c.settle()
		c.level("limit", f.u.PressureValue(v.LimitPa), "limit")
		c.level("aim", f.u.PressureValue(f.fill.TargetPa), "target")
		c.moment("mark", f.fill.BeginS, "first gas")
		c.line("c1", course)
		return c
	})
	p.Head = []string{"time", "pressure"}
	f.rows(&p, func(r *review.Row) []string { return []string{f.u.Pressure(float64(r.High[review.Pressure]))} })
	return p
}

// rows makes the table behind a picture.
func (f *fillView) rows(p *picture, cells func(*review.Row) []string) {
	s := f.course(tableRows)
	for i := range s.Rows {
		p.Rows = append(p.Rows, append([]string{quantity.Clock(math.Max(s.Rows[i].S, 0))}, cells(&s.Rows[i])...))
	}
}

func (f *fillView) temperatures() picture {
	v := &f.part.Vessel
	deg := f.u.TemperatureValue
	stations := v.Stations
	title := "Gas and wall"
	desc := fmt.Sprintf("Estimated temperatures over time. The hottest wall came to %s plus or minus %s; the resin softens from %s; the gas came to %s.",
		f.u.Temperature(f.fill.Hottest.K), f.u.Difference(f.fill.Hottest.BandK), f.u.Temperature(v.OnsetK), f.u.Temperature(f.fill.Account.GasMostK))
	p := draw(f.id+"t", title, desc, 340, func(id string, w float64, rows int) *chart {
		c := f.chart(id, w, 340)
		c.yUnit = f.u.TemperatureUnit()
		s := f.course(rows)
		gas, hot := both(s, review.Gas, deg), both(s, review.HottestK, deg)
		low, high := edge(s, review.HottestLow, false, deg), edge(s, review.HottestHigh, true, deg)
		gasLow, gasHigh := edge(s, review.GasLow, false, deg), edge(s, review.GasHigh, true, deg)
		c.reachAll(gas, hot, low, high)
		c.reach(deg(v.OnsetK))
		c.settle()
		c.band("gasband", gasLow, gasHigh)
		c.band("wallband", low, high)
		c.level("limit", deg(v.OnsetK), "onset")
		c.level("aim", deg(v.GoalK()), "onset less reserve")
		c.moment("mark", f.fill.BeginS, "")
		c.line("gas", gas)
		c.line("hot", hot)
		c.legend("hot", "hottest wall, with its band")
		c.legend("gas", "gas")
		for k, name := range stations {
			class := fmt.Sprintf("s%d", k+1)
			c.line(class, both(s, review.Of(k, review.Outer), deg))
			c.legend(class, "skin "+name)
		}
		for i := range f.part.Hand {
			if h := &f.part.Hand[i]; !h.TakenBack {
				c.dot("hand", point{h.S, deg(h.K)})
			}
		}
		return c
	})
	p.Head = []string{"time", "gas", "hottest wall", "its upper bound"}
	for _, name := range stations {
		p.Head = append(p.Head, "skin "+name, "read "+name)
	}
	f.rows(&p, func(r *review.Row) []string {
		out := []string{f.u.Temperature(float64(r.High[review.Gas])), f.u.Temperature(float64(r.High[review.HottestK])), f.u.Temperature(float64(r.High[review.HottestHigh]))}
		for k := range stations {
			out = append(out, f.u.Temperature(float64(r.High[review.Of(k, review.Outer)])), f.u.Temperature(float64(r.High[review.Of(k, review.Sensed)])))
		}
		return out
	})
	return p
}

func (f *fillView) margin() picture {
	diff := f.u.DifferenceValue
	p := draw(f.id+"m", "Margin", fmt.Sprintf("What was left between the hottest wall with its band and the onset. The least was %s at %s.", f.u.Difference(f.fill.MarginK), quantity.Clock(f.fill.MarginS)),
		200, func(id string, w float64, rows int) *chart {
			c := f.chart(id, w, 200)
			c.yUnit = f.u.TemperatureUnit()
			course := both(f.course(rows), review.Margin, diff)
			c.reachAll(course)
			c.reach(0)
			c.settle()
			c.level("limit", 0, "nothing left")
			c.moment("mark", f.fill.BeginS, "first gas")
			c.line("hot", course)
			return c
		})
	p.Head = []string{"time", "least margin"}
	f.rows(&p, func(r *review.Row) []string { return []string{f.u.Difference(float64(r.Low[review.Margin]))} })
	return p
}

func (f *fillView) ramp() picture {
	p := draw(f.id+"r", "Ramp against the advised one", "How fast the pressure rose while gas came in, and how fast was advised at the same moment; 0 where the advice was to let no gas in.", 200, func(id string, w float64, rows int) *chart {
		c := f.chart(id, w, 200)
		c.yUnit = f.u.RampUnit()
		s := f.course(rows)
		now, advised := both(s, review.RampNow, f.u.RampValue), both(s, review.RampAdvised, f.u.RampValue)
		c.reachAll(now, advised)
		c.reach(0)
		c.settle()
		c.moment("mark", f.fill.BeginS, "first gas")
		c.line("aimline", advised)
		c.line("c1", now)
		c.legend("c1", "ramp that came")
		c.legend("aimline", "ramp advised")
		return c
	})
	p.Head = []string{"time", "ramp, most", "advised, least"}
	f.rows(&p, func(r *review.Row) []string {
		return []string{f.u.Ramp(float64(r.High[review.RampNow])), f.u.Ramp(float64(r.Low[review.RampAdvised]))}
	})
	return p
}
