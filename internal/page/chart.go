package page

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
)

// point is a point of a curve in the units of the picture; a NaN breaks it.
type point struct{ x, y float64 }

// chart is one picture: inline SVG with a title and a description, for people
// who look and for those who are read to. Colours come from the page's style;
// curves differ in their strokes too. A plotting library was weighed: those of
// Go draw text as outlines or in one colour, which neither a reader nor a dark
// page can use.
type chart struct {
	id, title, desc string
	w, h            float64
	left, top       float64
	x0, x1, y0, y1  float64
	xTick           func(float64) string
	yUnit, xName    string
	body, names     strings.Builder // what is drawn, and words over it
	keys            []key
	named           float64 // where the last limit's name stands
}

// key is an entry of the legend.
type key struct{ class, name string }

const (
	rightRoom  = 12.0
	bottomRoom = 38.0
	keyRow     = 18.0
)

// newChart makes a picture for x from x0 to x1 in a frame w wide.
func newChart(id, title string, w, h, x0, x1 float64) *chart {
	return &chart{id: id, title: title, w: w, h: h, left: 52, top: 12, x0: x0, x1: math.Max(x1, x0+1), y0: math.NaN(), y1: math.NaN(),
		xTick: quantity.Clock, xName: "time"}
}

// reach widens the y axis to hold values.
func (c *chart) reach(values ...float64) {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if !(c.y0 <= v) {
			c.y0 = v
		}
		if !(c.y1 >= v) {
			c.y1 = v
		}
	}
}

// settle fixes the y axis, with a little room.
func (c *chart) settle() {
	if math.IsNaN(c.y0) {
		c.y0, c.y1 = 0, 1
	}
	if room := (c.y1 - c.y0) * 0.05; room > 0 {
		c.y0, c.y1 = c.y0-room, c.y1+room
	} else {
		c.y0, c.y1 = c.y0-1, c.y1+1
	}
}

// legend announces a curve; it is drawn above the picture, in rows.
func (c *chart) legend(class, name string) { c.keys = append(c.keys, key{class, name}) }

func (c *chart) px(x float64) float64 {
	return c.left + (x-c.x0)/(c.x1-c.x0)*(c.w-c.left-rightRoom)
}

func (c *chart) py(y float64) float64 {
	return c.top + (c.y1-y)/(c.y1-c.y0)*(c.h-c.top-bottomRoom)
}

// short is a coordinate with a tenth of a pixel.
func short(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }

// inside keeps a value within the frame.
func (c *chart) inside(p point) point {
	return point{math.Min(math.Max(p.x, c.x0), c.x1), math.Min(math.Max(p.y, c.y0), c.y1)}
}

// line draws a curve, broken where a value is not known.
func (c *chart) line(class string, pts []point) {
	var d strings.Builder
	pen := "M"
	for _, p := range pts {
		if math.IsNaN(p.y) || math.IsInf(p.y, 0) || p.x < c.x0 || p.x > c.x1 {
			pen = "M"
			continue
		}
		p = c.inside(p)
		d.WriteString(pen + short(c.px(p.x)) + " " + short(c.py(p.y)))
		pen = "L"
	}
	if d.Len() > 0 {
		fmt.Fprintf(&c.body, "<path class=\"%s\" d=\"%s\"/>\n", class, d.String())
	}
}

// band fills the room between two curves with the same x.
func (c *chart) band(class string, low, high []point) {
	for from := 0; from < len(low); {
		if math.IsNaN(low[from].y + high[from].y) {
			from++
			continue
		}
		to := from
		for to < len(low) && !math.IsNaN(low[to].y+high[to].y) {
			to++
		}
		var d strings.Builder
		for i := from; i < to; i++ {
			p := c.inside(high[i])
			d.WriteString(map[bool]string{true: "M", false: "L"}[i == from] + short(c.px(p.x)) + " " + short(c.py(p.y)))
		}
		for i := to - 1; i >= from; i-- {
			p := c.inside(low[i])
			d.WriteString("L" + short(c.px(p.x)) + " " + short(c.py(p.y)))
		}
		fmt.Fprintf(&c.body, "<path class=\"%s\" d=\"%sZ\"/>\n", class, d.String())
		from = to
	}
}

// level draws a limit across the picture, with its name.
func (c *chart) level(class string, y float64, name string) {
	if math.IsNaN(y) || y < c.y0 || y > c.y1 {
		return
	}
	at := c.py(y)
	fmt.Fprintf(&c.body, "<path class=\"%s\" d=\"M%s %sH%s\"/>\n", class, short(c.left), short(at), short(c.w-rightRoom))
	textY := at - 4
	if textY < c.top+10 || math.Abs(textY-c.named) < 13 {
		textY = at + 12
	}
	c.named = textY
	c.text("name", c.w-rightRoom-2, textY, "end", name)
}

// moment draws a line through a moment, with its name.
func (c *chart) moment(class string, x float64, name string) {
	if !(x >= c.x0 && x <= c.x1) {
		return
	}
	fmt.Fprintf(&c.body, "<path class=\"%s\" d=\"M%s %sV%s\"/>\n", class, short(c.px(x)), short(c.top), short(c.h-bottomRoom))
	if name != "" {
		c.text("name", c.px(x)+3, c.h-bottomRoom-4, "start", name)
	}
}

// dot draws a reading.
func (c *chart) dot(class string, p point) {
	if math.IsNaN(p.x+p.y) || p.x < c.x0 || p.x > c.x1 {
		return
	}
	p = c.inside(p)
	fmt.Fprintf(&c.body, "<circle class=\"%s\" cx=\"%s\" cy=\"%s\" r=\"3.5\"/>\n", class, short(c.px(p.x)), short(c.py(p.y)))
}

// text writes over what is drawn, with a rim that parts it from the curves.
func (c *chart) text(class string, x, y float64, anchor, text string) {
	fmt.Fprintf(&c.names, "<text class=\"rim\" x=\"%s\" y=\"%s\" text-anchor=\"%s\">%s</text>\n", short(x), short(y), anchor, html.EscapeString(text))
	fmt.Fprintf(&c.names, "<text class=\"%s\" x=\"%s\" y=\"%s\" text-anchor=\"%s\">%s</text>\n", class, short(x), short(y), anchor, html.EscapeString(text))
}

// axes draws the frame, ticks and names.
func (c *chart) axes() string {
	var b strings.Builder
	bottom := c.h - bottomRoom
	right := c.w - rightRoom
	if c.yUnit != "" {
		for _, y := range ticks(c.y0, c.y1, math.Max(2, (bottom-c.top)/34)) {
			fmt.Fprintf(&b, "<path class=\"grid\" d=\"M%s %sH%s\"/>\n<text class=\"tick\" x=\"%s\" y=\"%s\" text-anchor=\"end\">%s</text>\n", short(c.left), short(c.py(y)),
				short(right), short(c.left-5), short(c.py(y)+4), strconv.FormatFloat(y, 'g', 6, 64))
		}
		fmt.Fprintf(&b, "<text class=\"tick\" transform=\"rotate(-90)\" x=\"%s\" y=\"12\" text-anchor=\"middle\">%s</text>\n", short(-(c.top+bottom)/2), html.EscapeString(c.yUnit))
	}
	for _, x := range timeTicks(c.x0, c.x1, math.Max(2, (right-c.left)/80)) {
		fmt.Fprintf(&b, "<path class=\"grid\" d=\"M%s %sV%s\"/>\n<text class=\"tick\" x=\"%s\" y=\"%s\" text-anchor=\"middle\">%s</text>\n", short(c.px(x)), short(c.top), short(bottom),
			short(c.px(x)), short(bottom+14), html.EscapeString(c.xTick(x)))
	}
	fmt.Fprintf(&b, "<text class=\"tick\" x=\"%s\" y=\"%s\" text-anchor=\"middle\">%s</text>\n", short((c.left+right)/2), short(bottom+30), html.EscapeString(c.xName))
	fmt.Fprintf(&b, "<path class=\"frame\" d=\"M%s %sV%sH%s\"/>\n", short(c.left), short(c.top), short(bottom), short(right))
	return b.String()
}

// svg is the whole picture. The legend's rows are added above it.
func (c *chart) svg(class string) string {
	rows, line := 0, c.w
	var legend strings.Builder
	for _, k := range c.keys {
		wide := 34 + 7*float64(len([]rune(k.name)))
		if line+wide > c.w && line > 0 {
			rows, line = rows+1, 4
		}
		y := float64(rows)*keyRow - 6
		fmt.Fprintf(&legend, "<path class=\"%s\" d=\"M%s %sh22\"/><text class=\"tick\" x=\"%s\" y=\"%s\">%s</text>\n", k.class, short(line), short(y-4), short(line+26), short(y), html.EscapeString(k.name))
		line += wide
	}
	up := float64(rows) * keyRow
	return fmt.Sprintf("<svg class=\"%s\" viewBox=\"0 0 %s %s\" role=\"img\" aria-labelledby=\"%s-t %s-d\">\n<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n%s<g transform=\"translate(0 %s)\">\n%s%s</g>\n</svg>\n",
		class, short(c.w), short(c.h+up), c.id, c.id, c.id, html.EscapeString(c.title), c.id, html.EscapeString(c.desc), legend.String(), short(up), c.axes(), c.body.String()+c.names.String())
}

// ticks are round values from low to high, about n of them.
func ticks(low, high, n float64) []float64 {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/n)))
	for _, times := range []float64{1, 2, 5, 10} {
		if (high-low)/(step*times) <= n {
			step *= times
			break
		}
	}
	return every(low, high, step)
}

// timeTicks are round times, s.
func timeTicks(low, high, n float64) []float64 {
	for _, step := range []float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400} {
		if (high-low)/step <= n {
			return every(low, high, step)
		}
	}
	return every(low, high, (high-low)/n)
}

const ticksMost = 60

func every(low, high, step float64) []float64 {
	var out []float64
	for k := math.Ceil(low / step); k*step <= high && len(out) < ticksMost; k++ {
		if x := k * step; x != 0 {
			out = append(out, x)
			continue
		}
		out = append(out, 0) // without a minus
	}
	return out
}
