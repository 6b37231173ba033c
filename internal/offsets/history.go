package offsets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fillwright/internal/calibrate"
	"fillwright/internal/line"
	"fillwright/internal/probe"
)

// shownMost is how many of a sensor's entries are told, the newest.
const shownMost = 12

// History tells what each sensor read too much over time, with its trend.
// name gives a channel's name, empty for one that it does not know.
func History(all *probe.Offsets, now time.Time, name func(channel int) string) string {
	type sensor struct {
		board    uint64
		channel  int
		pressure bool
	}
	entries := map[sensor][]probe.Offset{}
	var order []sensor
	for _, o := range append(slices.Clone(all.History), all.List...) {
		k := sensor{o.Board, o.Channel, o.Pressure}
		if entries[k] == nil {
			order = append(order, k)
		}
		entries[k] = append(entries[k], o)
	}
	if len(order) == 0 {
		return "No offsets yet; find them with: fillwright offsets\n"
	}
	slices.SortStableFunc(order, func(a, b sensor) int {
		return cmp.Or(cmp.Compare(a.board, b.board), a.channel-b.channel)
	})
	var b strings.Builder
	for _, k := range order {
		known, _ := all.Find(k.board, k.channel)
		fmt.Fprintln(&b, strings.TrimSpace(nameOf(&entries[k][0])+" "+name(k.channel)))
		tell(&b, entries[k], &known, now)
	}
	return b.String()
}

// tell writes one sensor's entries, oldest first, and what comes of them.
func tell(b *strings.Builder, list []probe.Offset, known *probe.Offset, now time.Time) {
	slices.SortStableFunc(list, func(a, b probe.Offset) int { return strings.Compare(a.Date, b.Date) })
	if left := len(list) - shownMost; left > 0 {
		fmt.Fprintf(b, "  (%d earlier ones are in the file)\n", left)
	}
	for i := max(len(list)-shownMost, 0); i < len(list); i++ {
		o, mark := &list[i], " "
		if o.Date == known.Date && o.Offset == known.Offset && o.Method == known.Method {
			mark = ">"
		}
		line := fmt.Sprintf("%s %-10s  %-26s  %s %s", mark, o.Date, valueText(o), o.Method, o.Remark)
		fmt.Fprintln(b, strings.TrimRight(line, " "))
	}
	age, old := ageText(known, now)
	switch {
	case known.Method == "" && known.Date == "" && known.Offset == 0:
		age = "none"
	case old:
		age += ": OLD"
	}
	fmt.Fprintf(b, "  in force: %s; %s\n", age, trend(list))
}

// trend says in words how a sensor moves.
func trend(list []probe.Offset) string {
	var years, values []float64
	for i := range list {
		if t, err := time.Parse(time.DateOnly, list[i].Date); err == nil {
			years, values = append(years, float64(t.Unix())/(365.25*24*3600)), append(values, list[i].Offset)
		}
	}
	l := line.Fit(years, values, 0)
	unit, scale := calibrate.UnitOf(list[0].Pressure)
	switch {
	case math.IsNaN(l.Slope):
		return "too few for a trend"
	case math.Abs(l.Slope) > calibrate.Student(0.9545, float64(len(years)-2))*l.SSlope:
		return fmt.Sprintf("moves by %+.2f %s a year", l.Slope/scale, unit)
	}
	return "no trend beyond its scatter"
}
