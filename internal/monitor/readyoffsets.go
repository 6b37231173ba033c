package monitor

import (
	"math"
	"time"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
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
		item.Why = wording.NoOffsetsFile
		return item
	}
	if !m.snap.Link.BoardKnown {
		item.State, item.Why = ReadyUnknown, wording.NoNumberYet
		return item
	}
	now := time.UnixMilli(m.snap.UnixMS).UTC()
	oldest, undated, wanted := math.MinInt, false, false
	for _, c := range m.cfg.Profile.Channels {
		if !wantsOffset(c.Kind) {
			continue
		}
		wanted = true
		o, ok := m.cfg.Offsets.Find(m.snap.Link.Board, c.Index)
		if !ok {
			item.Why = wording.NoOffsetOf(c.Index)
			return item
		}
		days, dated := o.AgeDays(now)
		undated = undated || !dated
		oldest = max(oldest, days)
	}
	switch {
	case !wanted:
		item.State, item.Why = ReadyYes, wording.NoneWanted
	case undated:
		item.State, item.Why = ReadyUnknown, wording.SomeUndated
	case m.snap.UnixMS == 0:
		item.State, item.Why = ReadyUnknown, wording.NoDate
	case oldest > probe.OldDays:
		item.Why = wording.OldestDays(oldest)
	case oldest < 0:
		item.Why = wording.FutureDate
	default:
		item.State, item.Why = ReadyYes, wording.AtMostDays(oldest)
	}
	return item
}
