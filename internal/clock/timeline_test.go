package clock

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

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
