package offsets

import (
	"fmt"
	"math"
	"time"

	"fillwright/internal/calibrate"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
)

// ageText is the age of an offset in words, with a warning where it is due.
func ageText(o *probe.Offset, now time.Time) (text string, old bool) {
	days, ok := o.AgeDays(now)
	switch {
	case !ok:
		return "of unknown age", true
	case days < 0:
		return "dated in the future", true
	case days > probe.OldDays:
		return fmt.Sprintf("%d days old, more than %d", days, probe.OldDays), true
	case days == 1:
		return "1 day old", false
	}
	return fmt.Sprintf("%d days old", days), false
}

// Describe says which offsets are in force and how old they are, one line each.
func Describe(all *probe.Offsets, now time.Time) (lines []string) {
	for i := range all.List {
		o := &all.List[i]
		age, old := ageText(o, now)
		line := fmt.Sprintf("%s: %s, %s", nameOf(o), valueText(o), age)
		if o.Method != "" {
			line += " (" + o.Method + ")"
		}
		if old {
			line += ": OLD, find it again with: fillwright offsets"
		}
		lines = append(lines, line)
	}
	return lines
}

func nameOf(o *probe.Offset) string {
	return fmt.Sprintf("logger %s channel %d", probe.BoardText(o.Board), o.Channel)
}

// valueText is "-1.20 ± 0.30 °C", with the gain where there is one.
func valueText(o *probe.Offset) string {
	unit, scale := calibrate.UnitOf(o.Pressure)
	band := quantity.Unknown
	if !math.IsNaN(o.Uncertainty) {
		band = fmt.Sprintf("%.2f", o.Uncertainty/scale)
	}
	text := fmt.Sprintf("%+.2f ± %s %s", o.Offset/scale, band, unit)
	if o.SlopeError != 0 {
		text += fmt.Sprintf(" and %+.2f %%", 100*o.SlopeError)
	}
	return text
}

func dated(o *probe.Offset) string {
	if o.Date == "" {
		return valueText(o)
	}
	return valueText(o) + " of " + o.Date
}

// Changes says what differs from the offsets in force before to those after,
// one line each. Either may be nil.
func Changes(before, after *probe.Offsets) (lines []string) {
	for _, n := range inForce(after) {
		was, ok := before.Find(n.Board, n.Channel)
		switch {
		case !ok:
			lines = append(lines, fmt.Sprintf("%s: %s, none before", nameOf(&n), dated(&n)))
		case was.Offset != n.Offset || was.SlopeError != n.SlopeError || was.Pressure != n.Pressure:
			lines = append(lines, fmt.Sprintf("%s: %s, was %s", nameOf(&n), dated(&n), dated(&was)))
		}
	}
	for _, w := range inForce(before) {
		if _, ok := after.Find(w.Board, w.Channel); !ok {
			lines = append(lines, fmt.Sprintf("%s: none, was %s", nameOf(&w), dated(&w)))
		}
	}
	return lines
}

func inForce(all *probe.Offsets) []probe.Offset {
	if all == nil {
		return nil
	}
	return all.List
}
