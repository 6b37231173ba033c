package runlog

import "fillwright/internal/wire"

// clock makes session time out of a recording's frames: 0 at the first sample,
// rising with device time, and going on over a restart of the logger, a wrap of
// its 32-bit milliseconds and the place where a log was appended to. How long a
// gap was that device time does not cover is known from the host's Silence
// frames alone; one nominal sample follows it. Package monitor counts the same
// way within a part of a log.
type clock struct {
	timeS    float64 // of the last sample
	ms       int64   // the same
	nowMS    int64   // with the silences since
	begun    bool
	anew     bool // device time starts anew with the next sample
	lastMS   uint32
	periodMS int64 // nominal time between samples
	board    uint64
	boot     uint16
	known    bool // board and boot are those of the present part
	met      bool // a hello came
}

const (
	// backMost is how far device time may step back and still be a late or
	// repeated sample rather than a restart that no hello told of.
	backMost = 1000 // ms
	// periodUnknown is taken where a hello tells no rate.
	periodUnknown = 100 // ms
)

// hello notes a restart of the logger, or another logger.
func (c *clock) hello(h *wire.Hello) {
	if c.known && (h.Board != c.board || h.Boot != c.boot) {
		c.anew = true
	}
	c.board, c.boot, c.known, c.met = h.Board, h.Boot, true, true
	c.periodMS = periodUnknown
	if h.RateMHz > 0 {
		c.periodMS = max(1, 1_000_000/int64(h.RateMHz))
	}
}

// part notes the place where a log was appended to.
func (c *clock) part() { c.anew, c.known = c.begun, false }

func (c *clock) silence(s *wire.Silence) {
	c.nowMS = max(c.nowMS, c.ms+int64(s.AgeMS))
}

// sample gives the session time of a sample. It is fresh when it is later than
// that of the sample before.
func (c *clock) sample(ms uint32) (timeS float64, fresh bool) {
	step := int64(int32(ms - c.lastMS)) // right over the wrap
	switch {
	case !c.begun:
		c.nowMS = 0
	case c.anew || step < -backMost:
		c.ms = c.nowMS + max(1, c.periodMS)
	case step <= 0:
		return c.timeS, false
	default:
		c.ms += step
	}
	c.begun, c.anew, c.lastMS = true, false, ms
	c.nowMS = max(c.nowMS, c.ms)
	c.timeS = float64(c.ms) / 1000
	return c.timeS, true
}
