// Package calibrate finds what sensors read too much by holding them against
// something known: still shade and a thermometer, melting ice, steam, a
// stirred bath, a vented vessel, a reference gauge. It waits until a probe has
// come to rest, averages, and states the uncertainty after JCGM 100 (GUM).
// What is absurd is refused with the reason. The package is pure.
package calibrate

import (
	"fmt"
	"math"
	"slices"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Config is what a Calibration starts from. Profile and Method are required.
type Config struct {
	Profile *vessel.Profile
	Method  Method
	Typed   Typed // of the reference; it may be typed later with Refer
	// Beside is the channel of a trusted thermometer on the same logger, in
	// whose place a typed value stands; −1: none. With a method that can't have
	// one it counts for nothing.
	Beside   int
	Channels []int // on the logger, for temperatures; nil: all
}

// Calibration is one time of holding sensors against a reference.
type Calibration struct {
	cfg     Config
	ref     Reference
	limits  Limits
	probes  []held
	beside  int // place of the thermometer beside in the readings, −1 none
	coldK   float64
	startS  float64
	nowS    float64
	doneS   float64 // when the last sensor was done, NaN: none yet
	started bool
}

// held is one sensor that is being calibrated.
type held struct {
	at      int // in the readings
	reading probe.Reading
	rest    rest
	beside  []float64 // readings of the thermometer beside, while averaging
	lastRaw int32
	rawStep int64  // least difference of two raw values, 0: none yet
	refused string // why it was given up at once, empty: it was not
	do      string
}

// spanDriftTimes is how much more drift than a zero a span check bears.
const spanDriftTimes = 5

// New begins a calibration. The readings that it is given must come from a
// probe.Bank that has no offsets but the cold junction's.
func New(cfg Config) (*Calibration, error) {
	c := &Calibration{cfg: cfg, beside: -1, coldK: math.NaN(), doneS: math.NaN(), limits: temperatures}
	if cfg.Method.Pressure() {
		c.cfg.Channels, c.limits = nil, pressures(fullScale(cfg.Profile))
	}
	if cfg.Method == MethodSpan { // a gas that cools behind a shut valve moves both alike
		c.limits.Drift *= spanDriftTimes
	}
	var err error
	if c.ref, err = cfg.Typed.Reference(cfg.Method); err != nil {
		return nil, err
	}
	for i, ch := range cfg.Profile.Channels {
		nan := math.NaN()
		r := probe.Reading{Channel: ch.Index, Role: ch.Role, Kind: ch.Kind, Station: ch.Station, Value: nan, TimeS: nan, LastGood: nan}
		switch {
		case !cfg.Method.takes(&r):
		case cfg.Method == MethodShade && ch.Index == cfg.Beside:
			c.beside = i
		case c.cfg.Channels == nil || slices.Contains(c.cfg.Channels, ch.Index):
			c.probes = append(c.probes, held{at: i, reading: r, rest: newRest(c.limits), lastRaw: wire.ValueMissing})
		}
	}
	if cfg.Beside >= 0 && cfg.Method == MethodShade && c.beside < 0 {
		return nil, fmt.Errorf("channel %d can't be the thermometer beside the probes: name a temperature channel of the profile", cfg.Beside)
	}
	if len(c.probes) == 0 {
		takes := "thermocouples and thermometers, the cold junction excepted"
		if cfg.Method.Pressure() {
			takes = "the pressure sensor"
		}
		return nil, fmt.Errorf("the profile has no channel that the method %s could take; it takes %s", cfg.Method, takes)
	}
	return c, nil
}

// fullScale is that of the pressure sensor, or what stands in for it.
func fullScale(p *vessel.Profile) float64 {
	if c, ok := p.ChannelOf(vessel.RolePressure); ok && c.FullScale > 0 {
		return float64(c.FullScale)
	}
	return float64(p.Limits.Pressure)
}

// Method is how it is done.
func (c *Calibration) Method() Method { return c.cfg.Method }

// Limits are those in force.
func (c *Calibration) Limits() Limits { return c.limits }

// Reference is what the sensors are held against, in words; empty while it is
// still to be typed.
func (c *Calibration) Reference() string {
	if c.beside >= 0 {
		return fmt.Sprintf("the thermometer on channel %d", c.cfg.Beside)
	}
	return c.ref.Text
}

// Refer takes what was typed of the reference, when it is known or known better.
func (c *Calibration) Refer(y Typed) error {
	r, err := y.Reference(c.cfg.Method)
	if err == nil {
		c.ref = r
	}
	return err
}

// Asks says whether the reference is still to be typed.
func (c *Calibration) Asks() bool { return c.beside < 0 && math.IsNaN(c.ref.Value) }

// Add takes in the readings at session time timeS.
func (c *Calibration) Add(rs []probe.Reading, timeS float64) {
	if !c.started {
		c.started, c.startS = true, timeS
	}
	c.nowS = timeS
	for i := range rs {
		if rs[i].Role == vessel.RoleColdJunction && !math.IsNaN(rs[i].Value) {
			c.coldK = rs[i].Value
		}
	}
	for i := range c.probes {
		h := &c.probes[i]
		if h.at >= len(rs) {
			continue
		}
		was := h.rest.state
		h.see(&rs[h.at])
		if c.beside >= 0 {
			h.restBeside(rs[c.beside].Value, timeS)
		} else {
			h.rest.add(h.reading.Value, timeS)
		}
		if c.cfg.Method == MethodZero {
			c.refuseAtOnce(h)
		}
		if h.rest.state == StateDone && was != StateDone {
			c.doneS = timeS
		}
	}
	c.giveUp()
}

// How long sensors that are not at rest may keep the others waiting, and how
// long every sensor gets at the least.
const (
	graceS = 75.0
	leastS = 240.0
)

// giveUp ends the waiting for those who do not come to rest: after the
// patience, and sooner when nobody is on the way and others have been done
// for a while.
func (c *Calibration) giveUp() {
	averaging := slices.ContainsFunc(c.probes, func(h held) bool { return h.rest.state == StateAveraging })
	late := c.ElapsedS() > c.limits.PatienceS
	left := !averaging && c.nowS-c.doneS > graceS && c.ElapsedS() > leastS
	for i := range c.probes {
		if s := &c.probes[i].rest; s.state != StateDone && (late || left) {
			s.state = StateGaveUp
		}
	}
}

// see keeps one reading, and how fine its raw values are.
func (h *held) see(r *probe.Reading) {
	h.reading = *r
	if r.Raw != wire.ValueMissing && h.lastRaw != wire.ValueMissing {
		if d := max(int64(r.Raw)-int64(h.lastRaw), int64(h.lastRaw)-int64(r.Raw)); d > 0 && (h.rawStep == 0 || d < h.rawStep) {
			h.rawStep = d
		}
	}
	h.lastRaw = r.Raw
}

// restBeside has the difference to the thermometer beside come to rest: what
// both do together cancels.
func (h *held) restBeside(besideK, timeS float64) {
	was := h.rest.state
	h.rest.add(h.reading.Value-besideK, timeS)
	if h.rest.state != StateAveraging {
		return
	}
	if was == StateWaiting {
		h.beside = h.beside[:0]
	}
	if len(h.beside) < 1<<16 {
		h.beside = append(h.beside, besideK)
	}
}

// Probe is how far one sensor has come. Unknown numbers are NaN.
type Probe struct {
	Reading probe.Reading
	State   State
	Drift   float64 // a minute, K or Pa
	Scatter float64
	Offset  float64 // as it would be now, NaN while the reference is not known
	Share   float64 // of the averaging, 0 to 1
	LeftS   float64
}

// Probes tells how far each sensor has come.
func (c *Calibration) Probes() []Probe {
	out := make([]Probe, len(c.probes))
	for i := range c.probes {
		h := &c.probes[i]
		now := h.rest.line.Y0
		if h.rest.state == StateDone {
			now = h.rest.result.value
		}
		if c.beside < 0 {
			now -= c.ref.Value
		}
		out[i] = Probe{Reading: h.reading, State: h.rest.state, Drift: 60 * h.rest.line.Slope, Scatter: h.rest.line.Scatter,
			Offset: now, Share: h.rest.averagedS() / c.limits.AverageS, LeftS: h.rest.leftS()}
	}
	return out
}

// Done says whether every sensor has come to rest or was given up.
func (c *Calibration) Done() bool {
	return !slices.ContainsFunc(c.probes, func(h held) bool { return h.rest.state != StateDone && h.rest.state != StateGaveUp })
}

// ElapsedS is the time since the first readings.
func (c *Calibration) ElapsedS() float64 { return c.nowS - c.startS }
