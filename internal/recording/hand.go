package recording

import "fillwright/internal/wire"

// Hand knows which of the newest hand-held readings stand, by what the record
// says alone: one that is taken back is the newest that stands, no older than
// wire.UndoMostS, of the same part. The zero value is ready.
type Hand struct {
	n        int // readings met
	standing [wire.UndoMost]held
	left     int // of standing
}

type held struct {
	n, station int
	timeS      float64
}

// Number gives a reading its number.
func (h *Hand) Number(station int, timeS float64) (n int) {
	if h.left == wire.UndoMost {
		copy(h.standing[:], h.standing[1:])
		h.left--
	}
	h.standing[h.left] = held{h.n, station, timeS}
	h.left++
	h.n++
	return h.n - 1
}

// Undo gives the number of the reading that is taken back, -1 for none.
func (h *Hand) Undo(timeS float64) (n, station int) {
	if h.left == 0 || timeS-h.standing[h.left-1].timeS > wire.UndoMostS {
		return -1, -1
	}
	h.left--
	return h.standing[h.left].n, h.standing[h.left].station
}

// forget lets none be taken back any more.
func (h *Hand) forget() { h.left = 0 }
