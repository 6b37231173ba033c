package page

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/review"
)

// strokes is how many kinds of curves the style has for fills.
const strokes = 5

// WriteCompared writes the page of several fills held against each other.
func WriteCompared(w io.Writer, c *review.Compared, program string, u quantity.System) error {
	data, err := c.JSON()
	if err != nil {
		return err
	}
	s := sheet{Title: fmt.Sprintf("%d fills of %s compared", len(c.Rows), strings.Join(c.Vessels, ", ")), Style: template.CSS(style),
		Cautions: review.Cautions[:], Data: template.JS(data), Remarks: []string{"Page made by fillwright " + program + "."}}
	for i := range c.Rows {
		s.Invented = s.Invented || c.Rows[i].Part.Vessel.Invented
	}
	v := &overlay{u, c, c.Rows[max(0, len(c.Rows)-laidMost):]}
	differed, taught := c.Differed(u), c.Taught(u)
	s.Sections = []section{
		{ID: "differed", Title: "What differed", Tables: []table{{"Fills, by their days where known", differed[0], differed[1:]}}},
		{ID: "overlays", Title: "Laid over each other at the first gas", Pictures: []picture{
			v.lay("w", "Hottest wall", review.HottestK, u.TemperatureValue, u.TemperatureUnit(), u.Temperature),
			v.lay("p", "Pressure", review.Pressure, u.PressureValue, u.PressureUnit(), u.Pressure),
			v.lay("g", "Gas", review.Gas, u.TemperatureValue, u.TemperatureUnit(), u.Temperature)}},
		{ID: "life", Title: "Over the vessel's life", Remarks: c.Remarks(u), Pictures: []picture{
			v.trend("m", "Least margin of each fill", u.TemperatureUnit(), func(x *review.Compare) float64 { return u.DifferenceValue(x.Fill.MarginK) }),
			v.trend("b", "Most pressure of each cycle", u.PressureUnit(), func(x *review.Compare) float64 { return u.PressureValue(x.Fill.Account.PressureMostPa) }),
			v.trend("l", "Leak of each fill", "g/min", func(x *review.Compare) float64 { return x.Fill.Account.Leak.RateKgS * 6e4 }),
			v.trend("f", "Film of each fill over that of the others", "ratio", func(x *review.Compare) float64 { return x.Film })}},
		{ID: "teach", Title: "What would teach a model most", Tables: []table{{"The fills that the others predict worst come first", taught[0], taught[1:]}}},
		v.files(),
	}
	return templates.Execute(w, &s)
}

type overlay struct {
	u    quantity.System
	c    *review.Compared
	laid []review.Compare // those that are laid over each other: the newest
}

// laidMost is how many curves in one picture an eye can tell apart.
const laidMost = 10

// spanS is the time after the first gas in which the longest of the fills had
// gas coming in, and as long again.
func (v *overlay) spanS() float64 {
	longest := 60.0
	for i := range v.laid {
		if f := v.laid[i].Fill; len(f.Ramps) > 0 {
			longest = math.Max(longest, f.Ramps[len(f.Ramps)-1].ToS-f.BeginS)
		}
	}
	return 2 * longest
}

// beforeS is how much of the time before the first gas is shown.
const beforeS = 15.0

// lay lays a quantity of all fills over each other.
func (v *overlay) lay(id, title string, col review.Column, value func(float64) float64, unit string, text func(float64) string) picture {
	span := v.spanS()
	names := make([]string, len(v.laid))
	for i := range v.laid {
		names[i] = v.laid[i].Name
	}
	p := draw("lay"+id, title, title+" of each fill, of the newest "+strconv.Itoa(laidMost)+" at most, over the time since its first gas: "+strings.Join(names, ", ")+".", 300, func(cid string, w float64, rows int) *chart {
		c := newChart(cid, "", w, 300, -beforeS, span)
		c.xName, c.yUnit = "time since the first gas, min:s", unit
		c.xTick = func(s float64) string {
			if s < 0 {
				return "-" + quantity.Clock(-s)
			}
			return quantity.Clock(s)
		}
		curves := make([][]point, len(v.laid))
		for i := range v.laid {
			curves[i] = both(v.since(&v.laid[i], span).Reduced(rows), col, value)
			c.reachAll(curves[i])
		}
		if col == review.HottestK && len(v.laid) > 0 {
			c.reach(value(v.laid[0].Part.Vessel.OnsetK))
		}
		c.settle()
		if col == review.HottestK && len(v.laid) > 0 {
			c.level("limit", value(v.laid[0].Part.Vessel.OnsetK), "onset")
		}
		c.moment("mark", 0, "")
		for i := range curves {
			class := "r" + strconv.Itoa(i%strokes+1)
			c.line(class, curves[i])
			c.legend(class, names[i])
		}
		return c
	})
	p.Head = append([]string{"since the first gas"}, names...)
	courses := make([]*review.Course, len(v.laid))
	for i := range v.laid {
		courses[i] = v.since(&v.laid[i], span)
	}
	for k := range tableRows + 1 {
		s := span * float64(k) / tableRows
		row := []string{quantity.Clock(s)}
		for i := range courses {
			row = append(row, text(at(courses[i], s, col)))
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

func (v *overlay) since(x *review.Compare, span float64) *review.Course {
	return x.Fill.Course.Between(x.Fill.BeginS-beforeS, x.Fill.BeginS+span, x.Fill.BeginS)
}

// trend draws a number of each fill, in their order.
func (v *overlay) trend(id, title, unit string, of func(*review.Compare) float64) picture {
	p := draw("trend"+id, title, title+", in the order of the fills.", 180, func(cid string, w float64, _ int) *chart {
		c := newChart(cid, "", w, 180, 0.5, float64(len(v.c.Rows))+0.5)
		c.xName, c.yUnit = "number of the fill", unit
		c.xTick = func(x float64) string { return strconv.Itoa(int(x)) }
		var pts []point
		for i := range v.c.Rows {
			pts = append(pts, point{float64(i + 1), of(&v.c.Rows[i])})
		}
		c.reachAll(pts)
		c.reach(0)
		c.settle()
		c.line("aimline", pts)
		for _, q := range pts {
			c.dot("hand", q)
		}
		return c
	})
	p.Head = []string{"number", "fill", unit}
	for i := range v.c.Rows {
		x := of(&v.c.Rows[i])
		text := quantity.Unknown
		if !math.IsNaN(x) {
			text = strconv.FormatFloat(math.Round(x*100)/100, 'f', 2, 64)
		}
		p.Rows = append(p.Rows, []string{strconv.Itoa(i + 1), v.c.Rows[i].Name, text})
	}
	return p
}

// files names what was compared, with digests.
func (v *overlay) files() section {
	t := table{Caption: "Recordings", Head: []string{"number", "fill", "begun, UTC", "model in force"}}
	for i := range v.c.Rows {
		x := &v.c.Rows[i]
		when := x.When
		if when == "" {
			when = quantity.Unknown
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), x.Name + ", SHA-256 " + x.SHA256, when, x.Part.Model.Name})
	}
	return section{ID: "files", Title: "What was compared", Tables: []table{t}}
}
