package checklist

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

// offsets: the offsets of the sensors are known, and not from long ago.
func (f *Facts) offsets() Item {
	item := Item{Name: "offsets", Title: "offsets known and fresh", State: No}
	if f.Offsets == nil {
		item.Why = wording.NoOffsetsFile
		return item
	}
	if !f.BoardKnown {
		item.State, item.Why = Unknown, wording.NoNumberYet
		return item
	}
	now := time.UnixMilli(f.UnixMS).UTC()
	oldest, undated, wanted := math.MinInt, false, false
	for _, c := range f.Profile.Channels {
		if !wantsOffset(c.Kind) {
			continue
		}
		wanted = true
		o, ok := f.Offsets.Find(f.Board, c.Index)
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
		item.State, item.Why = Yes, wording.NoneWanted
	case undated:
		item.State, item.Why = Unknown, wording.SomeUndated
	case f.UnixMS == 0:
		item.State, item.Why = Unknown, wording.NoDate
	case oldest > probe.OldDays:
		item.Why = wording.OldestDays(oldest)
	case oldest < 0:
		item.Why = wording.FutureDate
	default:
		item.State, item.Why = Yes, wording.AtMostDays(oldest)
	}
	return item
}
