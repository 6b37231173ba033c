package monitor

import (
	"fillwright/internal/estimate"
	"fillwright/internal/recording"
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
	reading   int // its number in the recording
	before    *estimate.Filter
	from      int     // of the blocks, the first that came after it
	wasK      float64 // the station's reading before it, and its time
	wasS      float64
	unsettled unsettled
}

// undoMost is the most blocks that are kept: as many as come in wire.UndoMostS.
const undoMost = int(wire.UndoMostS/blockFlowS) + 1

// mark keeps what a reading found.
func (u *undo) mark(m mark) {
	if len(u.marks) == recording.UndoMost {
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

// pop is a reading, the newest here, with the filter as if it had never been;
// ok is false when it is not kept.
func (u *undo) pop(reading int) (m mark, ok bool) {
	n := len(u.marks) - 1
	if n < 0 || u.marks[n].reading != reading {
		return mark{}, false
	}
	m = u.marks[n]
	u.marks = u.marks[:n]
	for _, d := range u.blocks[m.from:] {
		d.apply(m.before)
	}
	return m, true
}
