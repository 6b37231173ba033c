package clock

import "fillwright/internal/wire"

// Timeline is the session time of a recording's frames, one part after the
// other where a log was appended to. The zero value is ready.
type Timeline struct {
	Clock
	beforeS  float64 // session time at the end of the parts before
	idleS    float64 // silence of this part before its first sample
	parts    bool    // there was a part before
	lastS    float64 // of the last sample
	periodMS int64   // nominal time between samples, 0: no hello yet
	board    uint64
	boot     uint16
	known    bool // board and boot are those of the present part
}

// periodUnknown is taken where no hello tells a rate.
const periodUnknown = 100 // ms

// Hello notes a restart of the logger, or another logger, and tells whether it
// is one.
func (t *Timeline) Hello(h *wire.Hello) (restarted bool) {
	restarted = t.known && (h.Board != t.board || h.Boot != t.boot)
	if restarted {
		t.Restart()
	}
	t.board, t.boot, t.known = h.Board, h.Boot, true
	t.periodMS = 0
	if h.RateMHz > 0 {
		t.periodMS = max(1, 1_000_000/int64(h.RateMHz))
	}
	return restarted
}

func (t *Timeline) period() int64 {
	if t.periodMS == 0 {
		return periodUnknown
	}
	return t.periodMS
}

// Part notes the place where a log was appended to.
func (t *Timeline) Part() {
	if t.Started() {
		t.beforeS += t.Clock.NowS() + float64(t.period())/1000
		t.parts = true
	}
	t.Clock, t.known, t.idleS = Clock{}, false, 0
}

// Silence lets time pass without samples where no arrivals are known.
func (t *Timeline) Silence(ageMS uint32) {
	t.Clock.Silence(ageMS)
	if !t.Started() {
		t.idleS = float64(ageMS) / 1000
	}
}

// NowS is the session time reached.
func (t *Timeline) NowS() float64 { return t.beforeS + t.Clock.NowS() }

// LastS is the session time of the last sample.
func (t *Timeline) LastS() float64 { return t.lastS }

// Sample gives the session time of a sample. It is fresh when it is later than
// that of the sample before; another must not be used.
func (t *Timeline) Sample(deviceMS uint32) (timeS float64, fresh bool) {
	if t.parts && !t.Started() {
		t.beforeS += t.idleS
	}
	timeS, fresh = t.Clock.Sample(deviceMS, t.period())
	if timeS += t.beforeS; fresh {
		t.lastS = timeS
	}
	return t.lastS, fresh
}
