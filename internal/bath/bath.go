// Package bath finds what sensors read too much by holding them against
// something known: still shade and a thermometer, melting ice, steam, a
// stirred bath, a vented vessel, a reference gauge. It waits until a probe has
// come to rest, averages, and states the uncertainty after JCGM 100 (GUM).
// What is absurd is refused with the reason. The package is pure.
package bath

import (
	"fmt"
	"math"
	"slices"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Config is what a Bath starts from. Only Profile and Way are required.
type Config struct {
	Profile *vessel.Profile
	Way     Way
	// Reference may have a NaN Value, to be typed later with Refer.
	Reference Reference
	// Beside is the channel of a trusted thermometer on the same logger, in
	// whose place Reference.Value stands; −1: none.
	Beside   int
	Channels []int  // on the logger; nil: all that the way can take
	Limits   Limits // zero: the usual ones
}

// Bath is one calibration on its way.
type Bath struct {
	cfg     Config
	probes  []held
	beside  int // place of the thermometer beside in the readings, −1 none
	coldK   float64
	startS  float64
	nowS    float64
	doneS   float64 // when the last sensor was done, NaN: none yet
	started bool
}

// held is one sensor in the bath.
type held struct {
	at      int // in the readings
	reading probe.Reading
	rest    steady
	beside  []float64 // readings of the thermometer beside, while averaging
	lastRaw int32
	rawStep int64 // least difference of two raw values, 0: none yet
	trace   []float64
	refused string // why it was given up at once, empty: it was not
	do      string
}

// spanDriftTimes is how much more drift than a zero a span check bears.
const spanDriftTimes = 5

// traceMost bounds the picture of a probe's past: block means.
const traceMost = 600

// New begins a calibration. The readings that it is given must come from a
// probe.Bank that has no offsets but the cold junction's.
func New(cfg Config) (*Bath, error) {
	b := &Bath{cfg: cfg, beside: -1, coldK: math.NaN(), doneS: math.NaN()}
	if cfg.Limits == (Limits{}) {
		cfg.Limits = Temperatures()
		if cfg.Way.Pressure() {
			cfg.Limits = Pressures(fullScale(cfg.Profile))
			if cfg.Way == WaySpan { // a gas that cools behind a shut valve moves both alike
				cfg.Limits.Drift *= spanDriftTimes
			}
		}
		b.cfg.Limits = cfg.Limits
	}
	if !math.IsNaN(cfg.Reference.Value) || cfg.Way == WaySteam && cfg.Reference.Text != "" {
		if err := cfg.Reference.Checked(cfg.Way); err != nil {
			return nil, err
		}
	}
	for i, c := range cfg.Profile.Channels {
		nan := math.NaN()
		r := probe.Reading{Channel: c.Index, Role: c.Role, Kind: c.Kind, Station: c.Station, Value: nan, TimeS: nan, LastGood: nan}
		switch {
		case cfg.Beside >= 0 && c.Index == cfg.Beside && cfg.Way == WayShade && cfg.Way.ours(&r):
			b.beside = i
		case cfg.Way.ours(&r) && (cfg.Channels == nil || slices.Contains(cfg.Channels, c.Index)):
			b.probes = append(b.probes, held{at: i, reading: r, rest: steady{limits: cfg.Limits}, lastRaw: wire.ValueMissing})
			b.probes[len(b.probes)-1].rest.reset(StateWaiting)
		}
	}
	if cfg.Beside >= 0 && b.beside < 0 {
		return nil, fmt.Errorf("channel %d can't be the thermometer beside the probes: name a temperature channel of the profile, with the way shade", cfg.Beside)
	}
	if len(b.probes) == 0 {
		return nil, fmt.Errorf("the profile has no channel that the way %s could take; it takes %s", cfg.Way, takes(cfg.Way))
	}
	return b, nil
}

func takes(w Way) string {
	if w.Pressure() {
		return "the pressure sensor"
	}
	return "thermocouples and thermometers, the cold junction excepted"
}

// fullScale is that of the pressure sensor, or what stands in for it.
func fullScale(p *vessel.Profile) float64 {
	if c, ok := p.ChannelOf(vessel.RolePressure); ok && c.FullScale > 0 {
		return float64(c.FullScale)
	}
	return float64(p.Limits.Pressure)
}

// Way is how it is done.
func (b *Bath) Way() Way { return b.cfg.Way }

// Limits are those in force.
func (b *Bath) Limits() Limits { return b.cfg.Limits }

// Reference is what the sensors are held against.
func (b *Bath) Reference() Reference { return b.cfg.Reference }

// Refer sets the reference when it is known, or known better.
func (b *Bath) Refer(r Reference) error {
	if err := r.Checked(b.cfg.Way); err != nil {
		return err
	}
	b.cfg.Reference = r
	return nil
}

// Asks says whether the reference is still to be typed.
func (b *Bath) Asks() bool { return b.beside < 0 && math.IsNaN(b.cfg.Reference.Value) }

// Take takes in the readings at session time timeS.
func (b *Bath) Take(rs []probe.Reading, timeS float64) {
	if !b.started {
		b.started, b.startS = true, timeS
	}
	b.nowS = timeS
	beside := math.NaN()
	for i := range rs {
		if rs[i].Role == vessel.RoleColdJunction && !math.IsNaN(rs[i].Value) {
			b.coldK = rs[i].Value
		}
	}
	if b.beside >= 0 && b.beside < len(rs) {
		beside = rs[b.beside].Value
	}
	for i := range b.probes {
		if h := &b.probes[i]; h.at < len(rs) {
			was := h.rest.state
			h.take(&rs[h.at], beside, b.beside >= 0, timeS)
			if b.cfg.Way == WayZero {
				b.refuseAtOnce(h)
			}
			if h.rest.state == StateDone && was != StateDone {
				b.doneS = timeS
			}
		}
	}
	b.giveUp()
}

// giveUp ends the waiting for those who do not come to rest: after the
// patience, and sooner when nobody is on the way and others have been done
// for a while.
func (b *Bath) giveUp() {
	l, averaging := &b.cfg.Limits, false
	for i := range b.probes {
		averaging = averaging || b.probes[i].rest.state == StateAveraging
	}
	late := b.nowS-b.startS > l.PatienceS
	left := !averaging && b.nowS-b.doneS > graceS
	for i := range b.probes {
		switch s := &b.probes[i].rest; {
		case s.state == StateDone:
		case late, left && b.nowS-b.startS > leastS:
			s.state = StateGaveUp
		}
	}
}

// How long sensors that are not at rest may keep the others waiting, and how
// long every sensor gets at the least.
const (
	graceS = 75.0
	leastS = 240.0
)

// take adds one reading. With a thermometer beside, the difference to it is
// what must come to rest: what both do together cancels.
func (h *held) take(r *probe.Reading, besideK float64, hasBeside bool, timeS float64) {
	h.reading = *r
	if r.Raw != wire.ValueMissing && h.lastRaw != wire.ValueMissing {
		if d := max(int64(r.Raw)-int64(h.lastRaw), int64(h.lastRaw)-int64(r.Raw)); d > 0 && (h.rawStep == 0 || d < h.rawStep) {
			h.rawStep = d
		}
	}
	h.lastRaw = r.Raw
	before := len(h.rest.y)
	was := h.rest.state
	v := r.Value
	if hasBeside {
		v -= besideK
	}
	h.rest.take(v, timeS)
	if was == StateWaiting && h.rest.state == StateAveraging {
		h.beside = h.beside[:0]
	}
	if hasBeside && h.rest.state == StateAveraging && len(h.beside) < 1<<16 {
		h.beside = append(h.beside, besideK)
	}
	if len(h.rest.y) != before && len(h.rest.y) > 0 {
		if len(h.trace) == traceMost {
			h.trace = append(h.trace[:0], h.trace[1:]...)
		}
		h.trace = append(h.trace, h.rest.y[len(h.rest.y)-1])
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
	Trace   []float64 // one-second means, newest last
}

// Probes tells how far each sensor has come. Trace stays the Bath's own.
func (b *Bath) Probes() []Probe {
	out := make([]Probe, len(b.probes))
	for i := range b.probes {
		h := &b.probes[i]
		p := Probe{
			Reading: h.reading, State: h.rest.state, Drift: 60 * h.rest.line.Slope, Scatter: h.rest.line.Scatter,
			Offset: math.NaN(), Share: h.rest.averagedS() / b.cfg.Limits.AverageS, LeftS: h.rest.leftS(), Trace: h.trace,
		}
		now := h.rest.line.Y0
		if h.rest.state == StateDone {
			now = h.rest.result.value
		}
		p.Offset = now - b.cfg.Reference.Value
		if b.beside >= 0 {
			p.Offset = now
		}
		out[i] = p
	}
	return out
}

// Done says whether every sensor has come to rest or was given up.
func (b *Bath) Done() bool {
	for i := range b.probes {
		if s := b.probes[i].rest.state; s != StateDone && s != StateGaveUp {
			return false
		}
	}
	return true
}

// ElapsedS is the time since the first readings.
func (b *Bath) ElapsedS() float64 { return b.nowS - b.startS }
