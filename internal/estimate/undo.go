package estimate

import (
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
	reading int // its number in the recording
	before  *Filter
	from    int // of the blocks, the first that came after it
}

// undoMost is the most blocks that are kept: as many as come in wire.UndoMostS.
const undoMost = int(wire.UndoMostS/blockFlowS) + 1

// mark keeps what a reading found.
func (u *undo) mark(reading int, before *Filter) {
	if len(u.marks) == wire.UndoMost {
		u.drop(1)
	}
	u.marks = append(u.marks, mark{reading, before, len(u.blocks)})
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
func (u *undo) keep(d *drive) {
	if len(u.blocks) >= undoMost {
		u.drop(1)
	}
	if len(u.marks) > 0 {
		u.blocks = append(u.blocks, *d)
	}
}

// pop is the filter as if a reading, the newest here, had never been; ok is
// false when it is not kept. see is shown the filter after each block.
func (u *undo) pop(reading int, see func(f *Filter)) (before *Filter, ok bool) {
	n := len(u.marks) - 1
	if n < 0 || u.marks[n].reading != reading {
		return nil, false
	}
	m := u.marks[n]
	u.marks = u.marks[:n]
	for i := range u.blocks[m.from:] {
		u.blocks[m.from+i].apply(m.before)
		see(m.before)
	}
	return m.before, true
}
