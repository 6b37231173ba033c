package monitor

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// Whatever the logger and the cable do, a Snapshot's time never falls.
func TestTimeNeverFalls(t *testing.T) {
	t.Parallel()
	for seed := uint64(0); seed < 20; seed++ {
		s := newStand(t, onsetFarC)
		s.unplanned = true
		r := rand.New(rand.NewPCG(seed, 3))
		before := 0.0
		s.see = func(now Snapshot) {
			must.Need(t, now.TimeS >= before, "seed %d: session time fell from %v to %v", seed, before, now.TimeS)
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
	t.Parallel()
	s := held(t, onsetFarC, 30)
	before := s.last
	s.boot++
	s.ms = 0
	s.hello()
	after := s.run(1, 0)
	if after.Link.Restarts != 1 || len(eventsOf(&after, EventRestart)) != 1 {
		t.Errorf("%d restarts, events %q", after.Link.Restarts, eventsOf(&after, EventRestart))
	}
	dt := after.TimeS - before.TimeS
	must.Be(t, dt >= 0.5 && dt <= 2, "session time went %v s over a restart and 1 s of samples", dt)
	must.Be(t, math.Abs(after.HottestK-before.HottestK) <= 1 && after.Phase == phase.Holding,
		"hottest %.2f K before, %.2f K after; phase %s", before.HottestK, after.HottestK, after.Phase)
	s.hello()
	s.hello()
	must.Be(t, s.last.Link.Restarts == 1, "the same hello counted as a restart: %d", s.last.Link.Restarts)
}

// Frames that the monitor can't read pass without effect but the count.
func TestUnreadableFrames(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 5)
	before := s.last
	for typ := range 256 {
		after := s.m.Step(wire.Frame{Type: wire.Type(typ), Body: []byte{1}})
		if after.TimeS != before.TimeS || after.PressurePa != before.PressurePa || after.HottestK != before.HottestK || after.Phase != before.Phase {
			t.Errorf("type %#x with a short body changed something: %+v", typ, after)
		}
	}
}
