package clock

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
)

// pair is a host and a logger, each with a clock of its own. Numbers are
// milliseconds.
type pair struct {
	c        Clock
	hostMS   float64 // true time
	deviceMS float64
	rate     float64 // of the device's clock
	everyMS  float64 // true time between samples
	delayMS  func() float64
	queue    []sent
	toldMS   float64
	lastS    float64
	agesS    []float64 // true age less the age that was counted, of each fresh sample
}

type sent struct{ arrivesMS, takenMS, deviceMS float64 }

func newPair(rate, hz float64) *pair {
	return &pair{rate: rate, everyMS: 1000 / hz, deviceMS: 5000, delayMS: func() float64 { return 3 }, toldMS: -1000}
}

// run lets both go on for s seconds, as a session hands them on: the host's
// time every 50 ms with frames, every 250 ms without.
func (p *pair) run(t *testing.T, s float64) {
	t.Helper()
	for end := p.hostMS + 1000*s; p.hostMS < end; {
		p.hostMS += p.everyMS
		p.deviceMS += p.everyMS * p.rate
		arrives := p.hostMS + p.delayMS()
		if n := len(p.queue); n > 0 {
			arrives = math.Max(arrives, p.queue[n-1].arrivesMS) // in order
		}
		p.queue = append(p.queue, sent{arrives, p.hostMS, p.deviceMS})
		for len(p.queue) > 0 && p.queue[0].arrivesMS <= p.hostMS+p.everyMS {
			p.take(t, p.queue[0])
			p.queue = p.queue[1:]
		}
		p.tell(p.hostMS, 250)
	}
}

func (p *pair) tell(ms, every float64) {
	if ms-p.toldMS >= every {
		p.toldMS = ms
		p.c.Arrival(uint32(int64(ms)))
	}
}

func (p *pair) take(t *testing.T, s sent) {
	t.Helper()
	p.tell(s.arrivesMS, 50)
	timeS, fresh := p.c.Sample(uint32(int64(s.deviceMS)), 100)
	now := p.c.NowS()
	must.Need(t, now >= p.lastS && timeS <= now+1e-9, "session time %v after %v, sample at %v", now, p.lastS, timeS)
	p.lastS = p.c.NowS()
	if fresh {
		p.agesS = append(p.agesS, (s.arrivesMS-s.takenMS)/1000-(p.c.NowS()-timeS))
	}
}

// sure fails unless the logger's clock is believed.
func (p *pair) sure(t *testing.T, what string) {
	t.Helper()
	if f, size := p.c.Trouble(); f != FaultNone || !math.IsNaN(p.c.UnsureS()) {
		t.Errorf("%s: fault %d, %q, unsure since %v at %v", what, f, f.Text(size), p.c.UnsureS(), p.c.NowS())
	}
}

// A sound clock that drifts within 2 % is followed: session time is the
// host's, no age is off by more than half a second, and nothing is said.
// A quartz has 100 ppm, a ceramic resonator 0.5 %, a calibrated RC oscillator
// 1 to 2 % (data sheets of small controllers, from memory).
func TestDriftIsFollowed(t *testing.T) {
	for _, drift := range []float64{0, 1e-4, -1e-4, 0.005, -0.005, 0.015, -0.015} {
		for _, hz := range []float64{1, 10, 50, 250} {
			p := newPair(1+drift, hz)
			r := rand.New(rand.NewPCG(3, uint64(hz)))
			p.delayMS = func() float64 { return 2 + 14*r.Float64() } // a USB bridge hands on every 16 ms
			p.run(t, 5)
			for range 60 {
				p.run(t, 5)
				p.sure(t, "drift")
			}
			off := p.c.NowS() - p.hostMS/1000
			must.Be(t, math.Abs(off) <= 1.5, "drift %v at %v Hz: session time off by %v s", drift, hz, off)
			for i, a := range p.agesS {
				if math.Abs(a) > 0.5 {
					t.Errorf("drift %v at %v Hz: age of sample %d off by %.3f s", drift, hz, i, a)
					break
				}
			}
		}
	}
}

// A clock that stands, crawls, hurries, runs back or jumps is found, and the
// moment from which readings can't be dated is no more than 0.3 s after it
// began, but for one that is off by little.
func TestIllClockIsFound(t *testing.T) {
	for name, c := range map[string]struct {
		rate   float64
		jumpMS float64
		want   Fault
		inS    float64 // found within
		sinceS float64 // unsure from at most so long after the beginning
	}{
		"stands":          {rate: 0, want: FaultStands, inS: 1.6, sinceS: 0.3},
		"backwards":       {rate: -1, want: FaultBack, inS: 1.6, sinceS: 0.3},
		"half speed":      {rate: 0.5, want: FaultBehind, inS: 1.3, sinceS: 0.5},
		"crawls":          {rate: 0.1, want: FaultBehind, inS: 1.3, sinceS: 0.4},
		"nine tenths":     {rate: 0.9, want: FaultSlow, inS: 12, sinceS: 12},
		"0.96":            {rate: 0.96, want: FaultSlow, inS: 12, sinceS: 12},
		"1.04":            {rate: 1.04, want: FaultFast, inS: 12, sinceS: 12},
		"a tenth fast":    {rate: 1.15, want: FaultFast, inS: 4, sinceS: 4},
		"twice as fast":   {rate: 2, want: FaultFast, inS: 0.6, sinceS: 0.3},
		"four times":      {rate: 4, want: FaultFast, inS: 0.6, sinceS: 0.3},
		"jump of a half":  {rate: 1, jumpMS: 500, want: FaultAhead, inS: 0.3, sinceS: 0.3},
		"jump ahead":      {rate: 1, jumpMS: 60_000, want: FaultAhead, inS: 0.3, sinceS: 0.3},
		"jump back, told": {rate: 1, jumpMS: -60_000, want: FaultBack, inS: 0.3, sinceS: 0.3},
	} {
		p := newPair(1, 20)
		p.run(t, 30)
		p.sure(t, name)
		from := p.c.NowS()
		p.rate = c.rate
		p.deviceMS += c.jumpMS
		found := math.NaN()
		for range int(20 * c.inS) {
			p.run(t, 0.05)
			if f, _ := p.c.Trouble(); f == c.want {
				found = p.c.NowS() - from
				break
			}
		}
		f, size := p.c.Trouble()
		if math.IsNaN(found) {
			t.Errorf("%s: not found in %v s, fault %d %q", name, c.inS, f, f.Text(size))
			continue
		}
		since := p.c.UnsureS() - from
		must.Be(t, since <= c.sinceS, "%s: found after %.2f s, but unsure only from %.2f s on", name, found, since)
		must.Be(t, f.Text(size) != "", "%s: no words", name)
		p.rate = 1
		p.run(t, 40)
		if c.rate == 1 {
			p.sure(t, name+", later")
		}
	}
}

// Stalls whose readings come in a burst are no fault; stalls after which all
// readings stay late are counted: four of 2.5 s make the readings 10 s old.
func TestStalls(t *testing.T) {
	p := newPair(1, 20)
	p.run(t, 20)
	lateMS := 0.0
	p.delayMS = func() float64 { return 3 + lateMS }
	for range 4 {
		lateMS += 2500
		p.run(t, 6)
		must.Need(t, len(p.agesS) != 0, "no fresh samples")
		worst := math.Abs(p.agesS[len(p.agesS)-1])
		must.Be(t, worst <= 0.1, "late by %v ms: age off by %.3f s", lateMS, worst)
	}
	p = newPair(1, 20)
	p.run(t, 20)
	stallEnds := 0.0
	p.delayMS = func() float64 { return math.Max(3, stallEnds-p.hostMS) }
	for range 10 {
		stallEnds = p.hostMS + 900
		p.run(t, 5)
		p.sure(t, "after a burst")
	}
	for _, a := range p.agesS {
		must.Need(t, math.Abs(a) <= 0.1, "an age off by %.3f s", a)
	}
}

// A buffer that is full at the start comes out in a burst: no fault, and the
// readings are believed once it is empty.
func TestFullBufferAtTheStart(t *testing.T) {
	p := newPair(1, 20)
	p.delayMS = func() float64 { return math.Max(3, 4000-p.hostMS) }
	p.run(t, 4.5)
	for range 20 {
		p.run(t, 0.5)
		f, size := p.c.Trouble()
		must.Need(t, f == FaultNone, "fault %q", f.Text(size))
	}
	p.sure(t, "once it is empty")
}

// A restart that a hello told of begins anew, is believed after half a second,
// and three in ten seconds are too many.
func TestRestartAgainstTheHost(t *testing.T) {
	p := newPair(1, 20)
	p.run(t, 20)
	p.c.Restart()
	p.deviceMS = 3
	p.run(t, 0.2)
	must.Be(t, !math.IsNaN(p.c.UnsureS()), "believed at once")
	p.run(t, 1)
	p.sure(t, "after a restart")
	for range 3 {
		p.c.Restart()
		p.run(t, 1)
	}
	f, _ := p.c.Trouble()
	must.Be(t, f == FaultRestart && !math.IsNaN(p.c.UnsureS()), "three restarts in three seconds: fault %d", f)
	p.run(t, 15)
	p.sure(t, "when it goes on")
}

// Whatever comes, session time does not fall and stays with the host's, and no
// sample is later than now.
func TestAnyTimes(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 8))
		var c Clock
		host, device, before, at := uint32(r.Uint32()), r.Uint32(), 0.0, 0.0
		for range 2000 {
			step := uint32(r.IntN(120))
			host += step
			c.Arrival(host)
			if c.Started() {
				at += float64(step) / 1000
			}
			switch r.IntN(10) {
			case 0:
				device = r.Uint32()
			case 1:
				device -= uint32(r.IntN(5000))
			case 2:
				c.Restart()
			}
			device += step
			s, _ := c.Sample(device, 50)
			if now := c.NowS(); now < before || s > now+1e-9 || math.Abs(now-at) > 1e-6 || math.IsNaN(s) {
				t.Fatalf("seed %d: session time %v after %v, host %v, sample %v", seed, now, before, at, s)
			}
			before = c.NowS()
		}
	}
}
