package page

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/quantity"
	"fillwright/internal/review"
)

// alarmRow is the height of an alarm in its picture.
const alarmRow = 26.0

// alarms draws each alarm as a band over the time axis of the other pictures.
func (f *fillView) alarms() picture {
	x0, x1 := f.x0, f.x1
	var list []*review.Alarm
	for i := range f.part.Alarms {
		if a := &f.part.Alarms[i]; a.RaisedS <= x1 && a.RaisedS+a.StoodS(f.part.EndS) >= x0 {
			list = append(list, a)
		}
	}
	row := map[string]int{} // alarms of one name share a row
	for _, a := range list {
		if _, has := row[a.Name]; !has {
			row[a.Name] = len(row)
		}
	}
	h := 12 + bottomRoom + alarmRow*float64(max(len(row), 1))
	p := draw(f.id+"a", "Alarms", "Each alarm as a bar from when it was raised to when its condition was gone, those of one name in a row. A stroke with a dot says when it was seen.", h, func(id string, w float64, _ int) *chart {
		c := f.chart(id, w, h)
		c.y0, c.y1 = 0, 1
		c.moment("mark", f.fill.BeginS, "")
		named := map[string]bool{}
		for _, a := range list {
			f.alarm(c, a, c.top+alarmRow*float64(row[a.Name]), !named[a.Name])
			named[a.Name] = true
		}
		if len(list) == 0 {
			c.text("name", c.left+6, c.top+16, "start", "none was raised")
		}
		return c
	})
	p.Head = []string{"raised", "alarm", "level", "stood", "seen after", "shut after", "respond within", "cause"}
	for _, a := range list {
		p.Rows = append(p.Rows, append(a.Cells(f.part.EndS), a.Cause))
	}
	return p
}

// alarm draws the bar of an alarm, and its name over the first of its row.
func (f *fillView) alarm(c *chart, a *review.Alarm, y float64, first bool) {
	from := math.Max(a.RaisedS, c.x0)
	to := math.Min(a.RaisedS+a.StoodS(f.part.EndS), c.x1)
	x, wide := c.px(from), math.Max(c.px(to)-c.px(from), 2)
	fmt.Fprintf(&c.body, "<rect class=\"%s\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"8\"/>\n", a.Level, short(x), short(y+14), short(wide))
	if a.SeenS >= c.x0 && a.SeenS <= c.x1 {
		at := c.px(a.SeenS)
		fmt.Fprintf(&c.body, "<path class=\"seen\" d=\"M%s %sv14\"/><circle class=\"seen\" cx=\"%s\" cy=\"%s\" r=\"2.5\"/>\n", short(at), short(y+11), short(at), short(y+10))
	}
	if !first {
		return
	}
	name := levelMarks[a.Level] + " " + a.Name + " (" + a.Level.String() + ")"
	anchor, at := "start", x
	if room := 7 * float64(len([]rune(name))); x+room > c.w-rightRoom {
		anchor, at = "end", c.w-rightRoom
	}
	c.text("name", at, y+10, anchor, name)
}

// fan draws a forecast with its band against what came.
func (f *fillView) fan(o *review.Forecast, n int) picture {
	deg := f.u.TemperatureValue
	what := "Forecast at " + o.Event + ", and what came"
	cells := o.Cells(f.u)
	desc := fmt.Sprintf("Forecast %s: %s. What came: %s, off by %s; %s. What came is the estimate.", cells[0], cells[1], cells[2], cells[3], cells[4])
	end := 0.0
	for _, p := range o.Path {
		end = math.Max(end, p.InS)
	}
	end = math.Min(end, math.Max(f.x1-o.AtS, 30))
	p := draw(fmt.Sprintf("%sf%d", f.id, n), what, desc, 260, func(id string, w float64, rows int) *chart {
		c := newChart(id, "", w, 260, 0, end)
		c.xName = "time since the forecast, min:s"
		c.yUnit = f.u.TemperatureUnit()
		var mid, low, high []point
		for _, q := range o.Path {
			mid = append(mid, point{q.InS, deg(q.HottestK)})
			low, high = append(low, point{q.InS, deg(q.HottestK - q.BandK)}), append(high, point{q.InS, deg(q.HottestK + q.BandK)})
		}
		came := both(f.since(o.AtS, end).Reduced(rows), review.HottestK, deg)
		c.reachAll(mid, low, high, came)
		c.reach(deg(f.part.Vessel.OnsetK))
		c.settle()
		c.band("fan", low, high)
		c.line("aimline", mid)
		c.level("limit", deg(f.part.Vessel.OnsetK), "onset")
		c.line("hot", came)
		c.legend("aimline", "forecast, with its band")
		c.legend("hot", "what came (estimate)")
		return c
	})
	p.Head = []string{"time since", "forecast", "band", "came"}
	course := f.since(o.AtS, end)
	for i, q := range o.Path {
		if step := max(len(o.Path)/tableRows, 1); i%step != 0 || q.InS > end {
			continue
		}
		p.Rows = append(p.Rows, []string{quantity.Clock(q.InS), f.u.Temperature(q.HottestK), "± " + f.u.Difference(q.BandK), f.u.Temperature(at(course, q.InS, review.HottestK))})
	}
	return p
}

// since is the course from a moment on, with times counted from there.
func (f *fillView) since(fromS, forS float64) *review.Course {
	c := f.fill.Course
	return c.Between(fromS-c.StepS, fromS+forS, fromS)
}

// at is a column at a time, NaN where nothing is known within a step.
func at(s *review.Course, timeS float64, c review.Column) float64 {
	for i := range s.Rows {
		if r := &s.Rows[i]; timeS >= r.S && timeS < r.S+s.StepS {
			return float64(r.High[c])
		}
	}
	return math.NaN()
}

// residuals draws readings less the estimate.
func (f *fillView) residuals() picture {
	diff := f.u.DifferenceValue
	p := draw(f.id+"e", "Readings less the estimate", "What attached wall sensors read more than the estimate of the skin there, and hand-held readings as dots. A model that fits leaves no pattern.",
		220, func(id string, w float64, rows int) *chart {
			c := f.chart(id, w, 220)
			c.yUnit = f.u.TemperatureUnit()
			s := f.course(rows)
			c.reach(-1, 1)
			for k := range f.part.Vessel.Stations {
				c.reachAll(both(s, review.Of(k, review.Off), diff))
			}
			for i := range f.part.Hand {
				c.reach(diff(f.part.Hand[i].K - f.part.Hand[i].EstimateK))
			}
			c.settle()
			c.level("frame", 0, "")
			for k, name := range f.part.Vessel.Stations {
				if s.Known(int(review.Of(k, review.Off))) {
					class := fmt.Sprintf("s%d", k+1)
					c.line(class, both(s, review.Of(k, review.Off), diff))
					c.legend(class, "sensor "+name)
				}
			}
			for i := range f.part.Hand {
				if h := &f.part.Hand[i]; !h.TakenBack {
					c.dot("hand", point{h.S, diff(h.K - h.EstimateK)})
				}
			}
			return c
		})
	rows := f.fill.ResidualRows(f.part, f.x0, f.x1, f.u)
	p.Head, p.Rows = rows[0], rows[1:]
	return p
}

// levelMarks are shapes that go with the levels, for where colour is not seen.
var levelMarks = [...]string{alarm.LevelAbort: "■", alarm.LevelCaution: "▲", alarm.LevelAdvisory: "○"}
