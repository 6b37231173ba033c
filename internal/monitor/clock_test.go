package monitor

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/wire"
)

// Session time starts at 0 and counts device time, over the wrap of its 32
// bits too (firmware-protocol: device time is u32 milliseconds and wraps).
func TestClockWrap(t *testing.T) {
	var c sessionClock
	start := uint32(math.MaxUint32 - 149)
	for i := 0; i < 10; i++ {
		want := float64(i) * 0.05
		if got := c.sample(start+uint32(50*i), 50); math.Abs(got-want) > 1e-12 {
			t.Errorf("sample %d, device time %d: session time %v, want %v", i, start+uint32(50*i), got, want)
		}
	}
	if math.Abs(c.hz-20) > 1e-9 {
		t.Errorf("rate %v Hz, want 20", c.hz)
	}
}

// A restart that a hello has told, and one that only shows by device time
// falling, go on one period after the time reached.
func TestClockRestart(t *testing.T) {
	for _, told := range []bool{true, false} {
		var c sessionClock
		c.sample(100_000, 50)
		c.sample(110_000, 50)
		if told {
			c.restart()
		}
		if got := c.sample(20, 50); math.Abs(got-10.05) > 1e-12 {
			t.Errorf("told %v: first sample after the restart at %v, want 10.05", told, got)
		}
		if got := c.sample(70, 50); math.Abs(got-10.10) > 1e-12 {
			t.Errorf("told %v: second at %v, want 10.10", told, got)
		}
	}
	// A told restart counts also when device time happens to go on upward.
	var c sessionClock
	c.sample(1000, 50)
	c.restart()
	if got := c.sample(9000, 50); math.Abs(got-0.05) > 1e-12 {
		t.Errorf("restart with greater device time: %v, want 0.05", got)
	}
}

// A frame that comes late or twice does not move time, and the next goes on
// from the newest.
func TestClockLateAndRepeated(t *testing.T) {
	var c sessionClock
	c.sample(5000, 100)
	c.sample(5300, 100)
	for _, ms := range []uint32{5300, 5200, 5000, 4300} {
		if got := c.sample(ms, 100); got != 0.3 {
			t.Errorf("device time %d after 5300: %v, want 0.3", ms, got)
		}
	}
	if got := c.sample(5400, 100); math.Abs(got-0.4) > 1e-12 {
		t.Errorf("next sample at %v, want 0.4", got)
	}
}

// Silence lets time pass; samples that come after it have their own device
// time, and a restart after it goes on from the end of the silence.
func TestClockSilence(t *testing.T) {
	var c sessionClock
	if got := c.silence(9000); got != 0 {
		t.Errorf("silence before any sample moved the clock to %v", got)
	}
	c.sample(1000, 100)
	if got := c.silence(4000); got != 4 {
		t.Errorf("4 s after a sample: %v", got)
	}
	if got := c.silence(3750); got != 4 {
		t.Errorf("an older silence: %v, want 4", got)
	}
	after := c
	if got := after.sample(5500, 100); math.Abs(got-4.5) > 1e-12 {
		t.Errorf("sample that goes on after the silence: %v, want 4.5", got)
	}
	c.restart()
	if got := c.sample(0, 100); math.Abs(got-4.1) > 1e-12 {
		t.Errorf("restart after a silence: %v, want 4.1", got)
	}
}

// Whatever the logger and the cable do, a Snapshot's time never falls.
func TestTimeNeverFalls(t *testing.T) {
	for seed := uint64(0); seed < 20; seed++ {
		s := newStand(t, onsetFarC)
		r := rand.New(rand.NewPCG(seed, 3))
		before := 0.0
		s.see = func(now Snapshot) {
			if now.TimeS < before {
				t.Fatalf("seed %d: session time fell from %v to %v", seed, before, now.TimeS)
			}
			before = now.TimeS
		}
		s.hello()
		for range 300 {
			switch r.IntN(12) {
			case 0: // a stall whose samples come in a burst
				s.silence(250, 250*uint32(1+r.IntN(8)))
			case 1:
				s.boot++
				s.ms = uint32(r.IntN(3000))
				s.hello()
			case 2:
				s.ms -= uint32(r.IntN(5000)) // late, or a restart without hello
			case 3:
				s.ms += uint32(r.IntN(20000))
			}
			s.sampleOf()
			s.ms += s.periodMS
		}
	}
}

// A logger that starts again is noted and counted once, and takes no gas or
// wall away from what was known.
func TestRestartIsNoted(t *testing.T) {
	s := held(t, onsetFarC, 30)
	before := s.last
	s.boot++
	s.ms = 0
	s.hello()
	after := s.run(1, 0)
	if after.Link.Restarts != 1 || len(eventsOf(&after, EventRestart)) != 1 {
		t.Errorf("%d restarts, events %q", after.Link.Restarts, eventsOf(&after, EventRestart))
	}
	if dt := after.TimeS - before.TimeS; dt < 0.5 || dt > 2 {
		t.Errorf("session time went %v s over a restart and 1 s of samples", dt)
	}
	if math.Abs(after.HottestK-before.HottestK) > 1 || after.Phase != PhaseHolding {
		t.Errorf("hottest %.2f K before, %.2f K after; phase %s", before.HottestK, after.HottestK, after.Phase)
	}
	s.hello()
	s.hello()
	if s.last.Link.Restarts != 1 {
		t.Errorf("the same hello counted as a restart: %d", s.last.Link.Restarts)
	}
}

// Frames that the monitor can't read pass without effect but the count.
func TestUnreadableFrames(t *testing.T) {
	s := held(t, onsetFarC, 5)
	before := s.last
	for typ := range 256 {
		after := s.m.Step(wire.Frame{Type: wire.Type(typ), Body: []byte{1}})
		if after.TimeS != before.TimeS || after.PressurePa != before.PressurePa || after.HottestK != before.HottestK || after.Phase != before.Phase {
			t.Errorf("type %#x with a short body changed something: %+v", typ, after)
		}
	}
}
