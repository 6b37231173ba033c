package monitor

import (
	"fillwright/internal/observe"
	"fillwright/internal/wire"
)

// undo can take the last surface readings back, the newest first: it keeps the
// filter as it was before each, and the blocks since, to run them again without
// it.
type undo struct {
	marks  []mark
	blocks []drive
}

// mark is what a reading found.
type mark struct {
	before    *observe.Observer
	from      int // of the blocks, the first that came after it
	timeS     float64
	station   int
	wasK      float64 // the station's reading before it, and its time
	wasS      float64
	unsettled unsettled
}

// Limits of what is kept: as many readings, and as many blocks as come in
// wire.UndoMostS.
const (
	undoReadingsMost = 8
	undoMost         = int(wire.UndoMostS/blockFlowS) + 1
)

// mark keeps what a reading found.
func (u *undo) mark(m mark) {
	if len(u.marks) == undoReadingsMost {
		u.drop(1)
	}
	m.from = len(u.blocks)
	u.marks = append(u.marks, m)
}

// drop forgets the oldest n readings, and the blocks that only they need.
func (u *undo) drop(n int) {
	u.marks = append(u.marks[:0], u.marks[n:]...)
	if len(u.marks) == 0 {
		u.blocks = u.blocks[:0]
		return
	}
	first := u.marks[0].from
	u.blocks = append(u.blocks[:0], u.blocks[first:]...)
	for i := range u.marks {
		u.marks[i].from -= first
	}
}

// forget makes nothing that was read taken back any more.
func (u *undo) forget() { u.drop(len(u.marks)) }

// keep notes a block that came after the readings.
func (u *undo) keep(d drive) {
	if len(u.blocks) >= undoMost {
		u.drop(1)
	}
	if len(u.marks) > 0 {
		u.blocks = append(u.blocks, d)
	}
}

// take is the newest reading, with the filter as if it had never been; ok is
// false when none is young enough.
func (u *undo) take(timeS float64) (m mark, ok bool) {
	n := len(u.marks) - 1
	if n < 0 || timeS-u.marks[n].timeS > wire.UndoMostS {
		return mark{}, false
	}
	m = u.marks[n]
	u.marks = u.marks[:n]
	for _, d := range u.blocks[m.from:] {
		d.apply(m.before)
	}
	return m, true
}
