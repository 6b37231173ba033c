package clock

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// sampleS is the session time of a sample.
func sampleS(c *Clock, deviceMS uint32, periodMS int64) float64 {
	s, _ := c.Sample(deviceMS, periodMS)
	return s
}

// silenceS is the session time after a silence.
func silenceS(c *Clock, ageMS uint32) float64 {
	c.Silence(ageMS)
	return c.NowS()
}

// Session time starts at 0 and counts device time, over the wrap of its 32
// bits too (firmware-protocol: device time is u32 milliseconds and wraps).
func TestClockWrap(t *testing.T) {
	var c Clock
	start := uint32(math.MaxUint32 - 149)
	for i := 0; i < 10; i++ {
		want := float64(i) * 0.05
		got := sampleS(&c, start+uint32(50*i), 50)
		must.Be(t, math.Abs(got-want) <= 1e-12, "sample %d, device time %d: session time %v, want %v", i, start+uint32(50*i), got, want)
	}
	must.Be(t, math.Abs(c.Hz()-20) <= 1e-9, "rate %v Hz, want 20", c.Hz())
}

// A restart that a hello has told, and one that only shows by device time
// falling, go on one period after the time reached.
func TestClockRestart(t *testing.T) {
	for _, told := range []bool{true, false} {
		var c Clock
		sampleS(&c, 100_000, 50)
		sampleS(&c, 110_000, 50)
		if told {
			c.Restart()
		}
		got := sampleS(&c, 20, 50)
		must.Be(t, math.Abs(got-10.05) <= 1e-12, "told %v: first sample after the restart at %v, want 10.05", told, got)
		got = sampleS(&c, 70, 50)
		must.Be(t, math.Abs(got-10.10) <= 1e-12, "told %v: second at %v, want 10.10", told, got)
	}
	// A told restart counts also when device time happens to go on upward.
	var c Clock
	sampleS(&c, 1000, 50)
	c.Restart()
	got := sampleS(&c, 9000, 50)
	must.Be(t, math.Abs(got-0.05) <= 1e-12, "restart with greater device time: %v, want 0.05", got)
}

// A frame that comes late or twice does not move time, and the next goes on
// from the newest.
func TestClockLateAndRepeated(t *testing.T) {
	var c Clock
	sampleS(&c, 5000, 100)
	sampleS(&c, 5300, 100)
	for _, ms := range []uint32{5300, 5200, 5000, 4300} {
		got := sampleS(&c, ms, 100)
		must.Be(t, got == 0.3, "device time %d after 5300: %v, want 0.3", ms, got)
	}
	got := sampleS(&c, 5400, 100)
	must.Be(t, math.Abs(got-0.4) <= 1e-12, "next sample at %v, want 0.4", got)
}

// Silence lets time pass; samples that come after it have their own device
// time, and a restart after it goes on from the end of the silence.
func TestClockSilence(t *testing.T) {
	var c Clock
	must.Equal(t, silenceS(&c, 9000), 0, "silence before any sample moved the clock to")
	sampleS(&c, 1000, 100)
	must.Equal(t, silenceS(&c, 4000), 4, "4 s after a sample")
	got := silenceS(&c, 3750)
	must.Be(t, got == 4, "an older silence: %v, want 4", got)
	after := c
	got = sampleS(&after, 5500, 100)
	must.Be(t, math.Abs(got-4.5) <= 1e-12, "sample that goes on after the silence: %v, want 4.5", got)
	c.Restart()
	got = sampleS(&c, 0, 100)
	must.Be(t, math.Abs(got-4.1) <= 1e-12, "restart after a silence: %v, want 4.1", got)
}

// Session time over everything that device time does: begin anywhere, wrap,
// repeat, step back a little, restart with and without a hello, and stand still
// while nothing comes.
func TestTimeline(t *testing.T) {
	var c Timeline
	hello := func(boot uint16) func() {
		return func() { c.Hello(&wire.Hello{Board: 1, Boot: boot, RateMHz: 10_000}) }
	}
	silence := func(ms uint32) func() { return func() { c.Silence(ms) } }
	for i, step := range []struct {
		before func()
		ms     uint32
		wantS  float64
		fresh  bool
	}{
		{hello(1), math.MaxUint32 - 49, 0, true},
		{nil, 50, 0.1, true}, // over the wrap
		{nil, 50, 0.1, false},
		{nil, 20, 0.1, false}, // late
		{nil, 150, 0.2, true},
		{silence(4000), 5150, 5.2, true}, // device time covers the gap
		{nil, 5250, 5.3, true},
		{hello(1), 5350, 5.4, true}, // a hello of the same start
		{hello(2), 3, 5.5, true},    // restart: one sample
		{nil, 103, 5.6, true},
		{silence(2500), 103, 5.6, false},
		{hello(3), 9000, 8.2, true}, // restart after a silence
		{nil, 9200, 8.4, true},
		{nil, 7, 8.5, true}, // restart that no hello told of
		{func() { c.Part() }, 0, 8.6, true},
	} {
		if step.before != nil {
			step.before()
		}
		s, fresh := c.Sample(step.ms)
		must.Be(t, math.Abs(s-step.wantS) <= 1e-9 && fresh == step.fresh, "step %d: %g s, fresh %v, want %g, %v", i, s, fresh, step.wantS, step.fresh)
	}
}
