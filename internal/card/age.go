package card

import (
	"fmt"
	"math"
	"time"

	"fillwright/internal/probe"
	"fillwright/internal/quantity"
)

// AgeMostDays is after how long an offset is old (common practice, no source).
const AgeMostDays = 30

// AgeDays is how old an offset is; not ok without a date.
func AgeDays(o *probe.Offset, now time.Time) (days int, ok bool) {
	t, err := time.ParseInLocation(time.DateOnly, o.Date, now.Location())
	if err != nil {
		return 0, false
	}
	return int(math.Floor(now.Sub(t).Hours() / 24)), true
}

// ageText is the age in words, with a warning where it is due.
func ageText(o *probe.Offset, now time.Time, mostDays int) (text string, old bool) {
	days, ok := AgeDays(o, now)
	switch {
	case !ok:
		return "of unknown age", true
	case days < 0:
		return "dated in the future", true
	case days > mostDays:
		return fmt.Sprintf("%d days old, more than %d", days, mostDays), true
	case days == 1:
		return "1 day old", false
	}
	return fmt.Sprintf("%d days old", days), false
}

// Describe says which offsets are in force and how old they are, one line
// each, and whether any of them is older than mostDays.
func Describe(all *probe.Offsets, now time.Time, mostDays int) (lines []string, old bool) {
	if all == nil {
		return nil, false
	}
	for i := range all.List {
		o := &all.List[i]
		age, tooOld := ageText(o, now, mostDays)
		line := fmt.Sprintf("logger %s channel %d: %s, %s", probe.BoardText(o.Board), o.Channel, valueText(o), age)
		if o.Method != "" {
			line += " (" + o.Method + ")"
		}
		if tooOld {
			line += ": OLD, find it again with: fillwright offsets"
		}
		lines, old = append(lines, line), old || tooOld
	}
	return lines, old
}

// valueText is "-1.20 ± 0.30 °C", with the gain where there is one.
func valueText(o *probe.Offset) string {
	unit, scale := "°C", 1.0
	if o.Pressure {
		unit, scale = "bar", 1e5
	}
	band := quantity.Unknown
	if !math.IsNaN(o.Uncertainty) {
		band = fmt.Sprintf("%.2f", o.Uncertainty/scale)
	}
	text := fmt.Sprintf("%+.2f ± %s %s", o.Offset/scale, band, unit)
	if o.Gain != 0 {
		text += fmt.Sprintf(" and %+.2f %%", 100*o.Gain)
	}
	return text
}

// Changes says what differs from the offsets in force before to those after,
// one line each.
func Changes(before, after *probe.Offsets) (lines []string) {
	if before == nil {
		before = &probe.Offsets{}
	}
	if after == nil {
		after = &probe.Offsets{}
	}
	for i := range after.List {
		n := &after.List[i]
		name := fmt.Sprintf("logger %s channel %d", probe.BoardText(n.Board), n.Channel)
		was, ok := before.Find(n.Board, n.Channel)
		switch {
		case !ok:
			lines = append(lines, fmt.Sprintf("%s: %s, none before", name, dated(n)))
		case was.Offset != n.Offset || was.Gain != n.Gain || was.Pressure != n.Pressure:
			lines = append(lines, fmt.Sprintf("%s: %s, was %s", name, dated(n), dated(&was)))
		}
	}
	for i := range before.List {
		w := &before.List[i]
		if _, ok := after.Find(w.Board, w.Channel); !ok {
			lines = append(lines, fmt.Sprintf("logger %s channel %d: none, was %s", probe.BoardText(w.Board), w.Channel, dated(w)))
		}
	}
	return lines
}

func dated(o *probe.Offset) string {
	if o.Date == "" {
		return valueText(o)
	}
	return valueText(o) + " of " + o.Date
}
