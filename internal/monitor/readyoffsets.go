package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
)

// wantsOffset tells the sensors whose error is worth finding before a
// session: thermocouples, and pressure sensors that read a voltage or current.
func wantsOffset(k vessel.Kind) bool {
	switch k {
	case vessel.KindK, vessel.KindT, vessel.KindJ, vessel.KindN, vessel.KindE, vessel.KindRatiometric, vessel.KindLoop:
		return true
	}
	return false
}

// readyOffsets: the offsets of the sensors are known, and not from long ago.
func (m *Monitor) readyOffsets() ReadyItem {
	item := ReadyItem{Name: "offsets", Title: "offsets known and fresh", State: ReadyNo}
	if m.cfg.Offsets == nil {
		item.Why = "no offsets file was given"
		return item
	}
	if !m.snap.Link.BoardKnown {
		item.State, item.Why = ReadyUnknown, "the logger's number is not known yet"
		return item
	}
	oldest, undated, wanted := math.Inf(1), false, 0
	for _, c := range m.cfg.Profile.Channels {
		if !wantsOffset(c.Kind) {
			continue
		}
		wanted++
		o, ok := m.cfg.Offsets.Find(m.snap.Link.Board, c.Index)
		if !ok {
			item.Why = fmt.Sprintf("channel %d has none on this logger", c.Index)
			return item
		}
		day, ok := dayNumber(o.Date)
		undated = undated || !ok
		oldest = math.Min(oldest, day)
	}
	return m.aged(item, oldest, undated, wanted)
}

// aged judges the age of the oldest offset.
func (m *Monitor) aged(item ReadyItem, oldest float64, undated bool, wanted int) ReadyItem {
	const msADay = 24 * 3600 * 1000
	age := math.Floor(float64(m.snap.UnixMS)/msADay) - oldest
	switch {
	case wanted == 0:
		item.State, item.Why = ReadyYes, "no sensor wants one"
	case undated:
		item.State, item.Why = ReadyUnknown, "some have no date"
	case m.snap.UnixMS == 0:
		item.State, item.Why = ReadyUnknown, "today's date is not known"
	case age > offsetDays:
		item.Why = fmt.Sprintf("the oldest is %.0f days old", age)
	case age < -1:
		item.Why = "dated in the future: check the clock"
	default:
		item.State, item.Why = ReadyYes, fmt.Sprintf("at most %.0f days old", math.Max(age, 0))
	}
	return item
}

// dayNumber is the day of a date "2026-05-01", counted from 1970-01-01 in the
// Gregorian calendar (algorithm of E. G. Richards, from memory; checked by
// TestDayNumber against the standard library).
func dayNumber(date string) (float64, bool) {
	var y, mo, d int
	if n, err := fmt.Sscanf(date, "%4d-%2d-%2d", &y, &mo, &d); n != 3 || err != nil {
		return math.NaN(), false
	}
	a := (14 - mo) / 12
	yy, mm := y+4800-a, mo+12*a-3
	julian := d + (153*mm+2)/5 + 365*yy + yy/4 - yy/100 + yy/400 - 32045
	const epoch = 2440588 // Julian day number of 1970-01-01
	return float64(julian - epoch), true
}
