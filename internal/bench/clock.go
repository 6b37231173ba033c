package bench

import "fillwright/internal/wire"

// clock makes rising time out of device time. A calibration needs no more: a
// gap or a restart costs a second.
type clock struct {
	begun  bool
	last   uint32
	ms     int64
	boot   uint16
	board  uint64
	known  bool
	anew   bool
	shownS float64
}

const gapMS = 1000 // for a restart

func (c *clock) hello(h *wire.Hello) {
	c.anew = c.anew || c.known && (h.Board != c.board || h.Boot != c.boot)
	c.board, c.boot, c.known = h.Board, h.Boot, true
}

// sample is the time of a sample; not fresh for one that came before.
func (c *clock) sample(deviceMS uint32) (timeS float64, fresh bool) {
	step := int64(int32(deviceMS - c.last)) // right over the wrap
	switch {
	case !c.begun:
		c.begun = true
	case c.anew || step < -gapMS:
		c.ms += gapMS
	case step <= 0:
		return float64(c.ms) / 1000, false
	default:
		c.ms += step
	}
	c.last, c.anew = deviceMS, false
	return float64(c.ms) / 1000, true
}
