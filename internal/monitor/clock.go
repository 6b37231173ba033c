package monitor

// sessionClock turns the logger's 32-bit milliseconds into session time that
// starts at 0 and goes on over wraps, restarts and silences.
type sessionClock struct {
	started   bool
	restarted bool
	last      uint32 // device time of the last sample
	ms        int64  // session time of the last sample
	now       int64  // session time with silences
	hz        float64
}

// backMost is the most that device time may step back and still be a late
// frame, not a restart that lost its hello.
const backMostMS = 1000

// restart says that the next sample begins a new device time.
func (c *sessionClock) restart() { c.restarted = true }

// sample is the session time in seconds of a sample.
func (c *sessionClock) sample(deviceMS uint32, periodMS int64) float64 {
	switch step := int64(int32(deviceMS - c.last)); {
	case !c.started:
		c.started = true
	case c.restarted || step < -backMostMS:
		// How long the logger was away is known from the silences alone.
		c.ms = c.now + periodMS
	case step > 0:
		if hz := 1000 / float64(step); c.hz == 0 {
			c.hz = hz
		} else {
			c.hz += 0.05 * (hz - c.hz)
		}
		c.ms += step
	default:
		return float64(c.ms) / 1000 // a late sample; time does not go back
	}
	c.restarted = false
	c.last = deviceMS
	if c.ms > c.now {
		c.now = c.ms
	}
	return float64(c.ms) / 1000
}

// nowS is the session time reached. It never falls, while the samples that
// come in a burst after a stall are older.
func (c *sessionClock) nowS() float64 { return float64(c.now) / 1000 }

// silence is the session time when the last sample is ageMS old.
func (c *sessionClock) silence(ageMS uint32) float64 {
	if t := c.ms + int64(ageMS); c.started && t > c.now {
		c.now = t
	}
	return c.nowS()
}
