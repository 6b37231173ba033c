// Package clock makes session time out of what a recording holds: the logger's
// 32-bit milliseconds, the host's steady clock and its silences. It holds the
// logger's clock against the host's the whole time, so that old readings are
// never taken for new ones.
//
// Session time is 0 at the first sample and never falls. With the host's
// arrivals (wire.Arrival) it is the host's time, and a sample's is what a
// fitted clock makes of its device time. Without them, in a recording of
// another sort or from before they were written, it is device time, and how
// long a gap was that device time does not cover is known from silences alone.
package clock

// backMostMS is the most that device time may step back and still be a late
// frame, not a restart that lost its hello.
const backMostMS = 1000

// Clock is session time. The zero value is ready.
type Clock struct {
	started bool
	anew    bool   // the next sample begins a new device time
	last    uint32 // device time of the last sample
	ms      int64  // session time of the last sample, without a host
	now     int64  // session time with silences, without a host
	hz      float64
	host    host
}

// Started tells whether a sample has come.
func (c *Clock) Started() bool { return c.started }

// Hz is the rate of the samples by device time, 0: not known yet.
func (c *Clock) Hz() float64 { return c.hz }

// Restart says that the next sample begins a new device time.
func (c *Clock) Restart() { c.anew = true }

// NowS is the session time reached. It never falls, while the samples that
// come in a burst after a stall are older.
func (c *Clock) NowS() float64 {
	if c.host.known {
		return c.host.nowMS / 1000
	}
	return float64(c.now) / 1000
}

// Silence lets time pass without samples where no arrivals are known.
func (c *Clock) Silence(ageMS uint32) {
	if t := c.ms + int64(ageMS); c.started && t > c.now {
		c.now = t
	}
}

// Arrival takes the host's clock in.
func (c *Clock) Arrival(hostMS uint32) {
	if !c.host.known {
		c.host.begin(hostMS, float64(c.now))
	}
	c.host.arrive(hostMS, c.started)
}

// Sample gives the session time of a sample. It is fresh when it is later than
// that of the sample before; another must not be used.
func (c *Clock) Sample(deviceMS uint32, periodMS int64) (timeS float64, fresh bool) {
	step := int64(int32(deviceMS - c.last)) // right over the wrap
	begins := !c.started || c.anew || step < -backMostMS
	if c.host.known {
		c.host.sample(step, begins, c.started && !c.anew)
	}
	switch {
	case !c.started:
		c.started = true
	case begins:
		// How long the logger was away is known from the silences alone.
		c.ms = c.now + max(1, periodMS)
	case step <= 0:
		return c.sampleS(), false
	default:
		c.rate(step)
		c.ms += step
	}
	c.anew = false
	c.last = deviceMS
	c.now = max(c.now, c.ms)
	return c.sampleS(), true
}

// sampleS is the session time of the last sample.
func (c *Clock) sampleS() float64 {
	if c.host.known {
		return c.host.sampleMS / 1000
	}
	return float64(c.ms) / 1000
}

func (c *Clock) rate(stepMS int64) {
	hz := 1000 / float64(stepMS)
	if c.hz == 0 {
		c.hz = hz
		return
	}
	c.hz += 0.05 * (hz - c.hz)
}
