package monitor

import "fillwright/internal/observe"

// undo can take the last surface reading back: it keeps the filter as it was
// before the reading, and the blocks since, to run them again without it.
type undo struct {
	before *observe.Observer
	blocks []drive
	index  int // station of the reading
	wasK   float64
	wasS   float64 // the station's reading before it, and its time
}

// undoMost bounds what is run again: ten minutes of blocks.
const undoMost = 3000

// mark keeps the filter as it was before a reading at a station, and the
// reading that stood there.
func (u *undo) mark(before *observe.Observer, station int, s *Station) {
	u.before, u.blocks, u.index = before, u.blocks[:0], station
	u.wasK, u.wasS = s.SurfaceK, s.SurfaceS
}

// keep notes a block that came after the reading; when too many have come,
// the reading can no longer be taken back.
func (u *undo) keep(d drive) {
	if u.before == nil {
		return
	}
	if len(u.blocks) >= undoMost {
		u.before = nil
		return
	}
	u.blocks = append(u.blocks, d)
}

// take is the filter as if the reading had never been; nil when there is
// nothing to take back.
func (u *undo) take() *observe.Observer {
	o := u.before
	if o == nil {
		return nil
	}
	for _, d := range u.blocks {
		d.apply(o)
	}
	u.before = nil
	return o
}
