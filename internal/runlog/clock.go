package runlog

import (
	"fillwright/internal/clock"
	"fillwright/internal/wire"
)

// recorded is the session time of a recording's frames, as package monitor
// counts it within a part of a log. It goes on over the place where a log was
// appended to.
type recorded struct {
	clock.Clock
	timeS    float64 // of the last sample
	beforeS  float64 // session time at the end of the parts before
	idleS    float64 // silence of this part before its first sample
	parts    bool    // there was a part before
	periodMS int64   // nominal time between samples
	board    uint64
	boot     uint16
	known    bool // board and boot are those of the present part
	met      bool // a hello came
}

// periodUnknown is taken where a hello tells no rate.
const periodUnknown = 100 // ms

// hello notes a restart of the logger, or another logger.
func (c *recorded) hello(h *wire.Hello) {
	if c.known && (h.Board != c.board || h.Boot != c.boot) {
		c.Restart()
	}
	c.board, c.boot, c.known, c.met = h.Board, h.Boot, true, true
	c.periodMS = periodUnknown
	if h.RateMHz > 0 {
		c.periodMS = max(1, 1_000_000/int64(h.RateMHz))
	}
}

// part notes the place where a log was appended to.
func (c *recorded) part() {
	if c.Started() {
		c.beforeS += c.NowS() + float64(max(1, c.periodMS))/1000
		c.parts = true
	}
	c.Clock, c.known, c.idleS = clock.Clock{}, false, 0
}

// pass lets the time pass that a frame of the host tells of.
func (c *recorded) pass(f wire.Frame) {
	var s wire.Silence
	var a wire.Arrival
	switch {
	case f.Type == wire.TypeSilence && wire.ParseSilence(f.Body, &s) == nil:
		c.Silence(s.AgeMS)
		if !c.Started() {
			c.idleS = float64(s.AgeMS) / 1000
		}
	case f.Type == wire.TypeArrival && wire.ParseArrival(f.Body, &a) == nil:
		c.Arrival(a.HostMS)
	}
}

// sample gives the session time of a sample. It is fresh when it is later than
// that of the sample before.
func (c *recorded) sample(ms uint32) (timeS float64, fresh bool) {
	if c.parts && !c.Started() {
		c.beforeS += c.idleS
	}
	timeS, fresh = c.Sample(ms, max(1, c.periodMS))
	if timeS += c.beforeS; fresh {
		c.timeS = timeS
	}
	return c.timeS, fresh
}
