package card

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"
	"unicode/utf8"

	"fillwright/internal/bath"
	"fillwright/internal/probe"
)

// Picture says how the sensor card is drawn.
type Picture struct {
	Width  int // cells of a line, 60 at the least
	ASCII  bool
	Now    time.Time
	Days   int              // age that is too old; 0: AgeMostDays
	Naming func(int) string // name of a channel; nil: none
}

// sensorKey is one sensor on one logger.
type sensorKey struct {
	board    uint64
	channel  int
	pressure bool
}

// shownMost is how many of a sensor's entries are drawn, the newest.
const shownMost = 12

// Draw is the card: each sensor's history as a small picture, with its trend.
func (p Picture) Draw(all *probe.Offsets) string {
	entries := map[sensorKey][]probe.Offset{}
	var keys []sensorKey
	for _, list := range [][]probe.Offset{all.History, all.List} {
		for _, o := range list {
			k := sensorKey{o.Board, o.Channel, o.Pressure}
			if entries[k] == nil {
				keys = append(keys, k)
			}
			entries[k] = append(entries[k], o)
		}
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].board != keys[j].board {
			return keys[i].board < keys[j].board
		}
		return keys[i].channel < keys[j].channel
	})
	var b strings.Builder
	for i, k := range keys {
		if i > 0 {
			b.WriteByte('\n')
		}
		inForce, _ := all.Find(k.board, k.channel)
		p.sensor(&b, k, entries[k], &inForce)
	}
	if len(keys) == 0 {
		b.WriteString("No offsets yet; find them with: fillwright offsets\n")
	}
	return b.String()
}

// sensor draws one sensor's entries, oldest first.
func (p Picture) sensor(b *strings.Builder, k sensorKey, list []probe.Offset, inForce *probe.Offset) {
	sort.SliceStable(list, func(i, j int) bool { return list[i].Date < list[j].Date })
	name := ""
	if p.Naming != nil && p.Naming(k.channel) != "" {
		name = " " + p.Naming(k.channel)
	}
	fmt.Fprintf(b, "channel %d%s on logger %s\n", k.channel, name, probe.BoardText(k.board))
	if left := len(list) - shownMost; left > 0 {
		fmt.Fprintf(b, "  (%d earlier ones are in the file)\n", left)
		list = list[left:]
	}
	axis := p.axisFor(list, k.pressure)
	for i := range list {
		o := &list[i]
		mark := " "
		if o.Date == inForce.Date && o.Offset == inForce.Offset && o.Method == inForce.Method {
			mark = ">"
		}
		fmt.Fprintf(b, "%s %-10s %s %s %s\n", mark, o.Date, padded(valueText(o), valueCells), axis.bar(o), strings.TrimSpace(o.Method+" "+o.Remark))
	}
	fmt.Fprintf(b, "  %s %s\n", strings.Repeat(" ", 10+1+valueCells), axis.ends())
	fmt.Fprintf(b, "  %s\n", p.trend(list, inForce))
}

const valueCells = 30

func padded(s string, cells int) string {
	return s + strings.Repeat(" ", max(cells-utf8.RuneCountInString(s), 0))
}

// axis maps a value to a cell.
type axis struct {
	cells       int
	most        float64 // at either end
	scale       float64
	unit        string
	dot, dash   string
	zero, blank string
}

// axisFor is symmetric about zero and holds every entry with its band.
func (p Picture) axisFor(list []probe.Offset, pressure bool) axis {
	a := axis{cells: min(max(p.Width-62, 15), 41) | 1, scale: 1, unit: "°C", dot: "●", dash: "─", zero: "│", blank: " "}
	if p.ASCII {
		a.dot, a.dash, a.zero = "o", "-", "|"
	}
	if pressure {
		a.scale, a.unit = 1e5, "bar"
	}
	for i := range list {
		u := list[i].Uncertainty
		if math.IsNaN(u) {
			u = 0
		}
		a.most = math.Max(a.most, (math.Abs(list[i].Offset)+u)/a.scale)
	}
	// A round number at the ends: 1, 2 or 5 times a power of ten.
	ten := math.Pow(10, math.Floor(math.Log10(math.Max(a.most, 0.01))))
	for _, x := range []float64{1, 2, 5, 10} {
		if x*ten >= a.most {
			a.most = x * ten
			break
		}
	}
	return a
}

func (a *axis) cell(v float64) int {
	half := a.cells / 2
	return min(max(half+int(math.Round(v/a.scale/a.most*float64(half))), 0), a.cells-1)
}

// bar is one entry: its value as a dot on its band, and the zero line.
func (a *axis) bar(o *probe.Offset) string {
	row := make([]string, a.cells)
	for i := range row {
		row[i] = a.blank
	}
	row[a.cells/2] = a.zero
	if u := o.Uncertainty; !math.IsNaN(u) {
		for i := a.cell(o.Offset - u); i <= a.cell(o.Offset+u); i++ {
			row[i] = a.dash
		}
	}
	row[a.cell(o.Offset)] = a.dot
	return strings.Join(row, "")
}

// ends labels the axis.
func (a *axis) ends() string {
	left, right := fmt.Sprintf("-%g", a.most), fmt.Sprintf("+%g %s", a.most, a.unit)
	gap := max(a.cells/2-len(left), 1)
	return left + strings.Repeat(" ", gap) + "0" + strings.Repeat(" ", max(a.cells/2-utf8.RuneCountInString(right), 1)) + right
}

// trend says in words how the sensor moves, and how old its offset is.
func (p Picture) trend(list []probe.Offset, inForce *probe.Offset) string {
	days := p.Days
	if days == 0 {
		days = AgeMostDays
	}
	age, old := ageText(inForce, p.Now, days)
	text := "in force: " + age
	if inForce.Method == "" && inForce.Date == "" && inForce.Offset == 0 {
		text = "none in force"
	} else if old {
		text += ": OLD"
	}
	var x, y []float64
	for i := range list {
		if t, err := time.Parse(time.DateOnly, list[i].Date); err == nil {
			x, y = append(x, t.Sub(time.Unix(0, 0)).Hours()/24/365.25), append(y, list[i].Offset)
		}
	}
	l := bath.Fit(x, y, 0)
	scale, unit := 1.0, "°C"
	if inForce.Pressure {
		scale, unit = 1e5, "bar"
	}
	switch {
	case math.IsNaN(l.Slope):
		return text + "; too few for a trend"
	case math.Abs(l.Slope) > bath.Student(0.9545, float64(len(x)-2))*l.SSlope:
		return fmt.Sprintf("%s; moves by %+.2f %s a year", text, l.Slope/scale, unit)
	}
	return text + "; no trend beyond its scatter"
}
