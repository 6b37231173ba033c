package probe

import (
	"math"

	"fillwright/internal/vessel"
)

// watch is what the Bank remembers of every sensor to judge it over time. All
// of it is bounded and free of allocation. Limits without a source are common
// practice.
type watch struct {
	sensors []memory
	tick    float64 // session time of the last whole second that was judged
	ambient float64 // air pressure, Pa
	gas     int     // places in the profile, −1: none
	press   int
	air     int
	cold    int

	ventedS   float64 // since when the vessel stands vented, NaN: it does not
	reversedN int     // seconds of evidence for swapped leads of the gas probe
	shortN    int
	againstN  int
	parted    [vessel.ChannelsMost]float64 // since when a sensor has parted, NaN
	coldS     float64                      // since when the cold junction is doubtful
}

// memory is what is remembered of one sensor.
type memory struct {
	jump   jumping
	same   sameness
	noise  scatter
	past   seconds
	latch  Health // found once, until the evidence turns
	doubts [5]Health
}

// Places of memory.doubts.
const (
	doubtNoise = iota
	doubtPlace
	doubtBalance
	doubtFrozen
	doubtJump
)

func newWatch(p *vessel.Profile) watch {
	w := watch{sensors: make([]memory, len(p.Channels)), ambient: float64(p.AmbientPressure), gas: -1, press: -1, air: -1, cold: -1}
	for i, c := range p.Channels {
		switch c.Role {
		case vessel.RoleGas:
			w.gas = i
		case vessel.RolePressure:
			w.press = i
		case vessel.RoleAmbient:
			w.air = i
		case vessel.RoleColdJunction:
			w.cold = i
		}
	}
	w.clear()
	return w
}

// clear forgets everything, as for another board.
func (w *watch) clear() {
	nan := math.NaN()
	w.tick, w.ventedS, w.coldS = nan, nan, nan
	w.reversedN, w.shortN, w.againstN = 0, 0, 0
	for i := range w.parted {
		w.parted[i] = nan
	}
	for i := range w.sensors {
		w.sensors[i] = memory{}
		w.sensors[i].jump.clear()
		w.sensors[i].noise.clear()
	}
}

// follow takes in the readings of one sample and lets what it finds count.
func (w *watch) follow(b *Bank, timeS float64) {
	for i := range w.sensors {
		r := &b.readings[i]
		if r.Health != HealthGood {
			w.sensors[i].same.run = 0
			continue
		}
		m := &w.sensors[i]
		limit, rate := swiftest(b, i)
		jumps := m.jump.jumped(r.Value, timeS, limit, rate)
		m.doubts[doubtJump] = HealthUnknown
		if jumps && r.Role == vessel.RolePressure && timeS >= m.jump.calmS {
			// One jump of the pressure may be a burst hose or a valve torn open:
			// it is shown and alarmed on at once, with a doubt.
			m.doubts[doubtJump], jumps = HealthJump, false
		}
		if jumps {
			r.spoil(HealthJump, &b.sensors[i])
			continue
		}
		m.same.add(r.Raw, timeS, w.other(b, i))
		m.noise.add(r.Value, timeS, noiseFloor(b, i))
		m.past.add(r.Value, timeS)
	}
	if !(timeS-w.tick < 1) {
		w.tick = timeS
		w.judge(b, timeS)
	}
	for i := range w.sensors {
		m, r := &w.sensors[i], &b.readings[i]
		if r.Health == HealthGood && m.latch != HealthUnknown {
			r.spoil(m.latch, &b.sensors[i])
		}
		r.Doubt = HealthUnknown
		if r.Health != HealthGood {
			continue
		}
		for _, d := range m.doubts {
			if d != HealthUnknown {
				r.Doubt = d
			}
		}
	}
}

// spoil takes back a value that was set good a moment ago.
func (r *Reading) spoil(h Health, n *sensor) {
	r.Health, r.Value = h, math.NaN()
	r.LastGood, r.TimeS = n.goodBefore, n.goodBeforeS
}

// other is a value that must move when sensor i does: the bead for the
// pressure, the air for the cold junction and the other way round.
func (w *watch) other(b *Bank, i int) float64 {
	at := -1
	switch i {
	case w.press:
		at = w.gas
	case w.cold:
		at = w.air
	case w.air:
		at = w.cold
	}
	if at < 0 || at == i {
		return math.NaN()
	}
	return b.readings[at].Value
}

// swiftest is how far a sensor may step between two samples, and how fast it
// may go, in SI. A bead in the jet of an adiabatic fill makes some 60 K/s at
// the most; a wall has ten kilogram of laminate behind it; a burst valve fills
// by some 30 bar/s.
func swiftest(b *Bank, i int) (step, perS float64) {
	c := &b.sensors[i].channel
	if c.Kind.Pressure() {
		full := b.sensors[i].fullPa
		return math.Max(0.03*full, 1e5), 0.3 * full
	}
	switch c.Role {
	case vessel.RoleWall:
		return 6, 10
	case vessel.RoleAmbient:
		return 4, 3
	case vessel.RoleColdJunction:
		return 3, 2
	}
	return 8, 60
}

// quantum is the least step of a pressure channel in Pa, of which the least that
// was seen is so many raw units; 0: none was seen.
func quantum(n *sensor, seen float64) float64 {
	c := &n.channel
	switch c.Kind {
	case vessel.KindRatiometric:
		return math.Max(seen, 1) * float64(c.Supply) / n.scale / float64(c.Span-c.Zero) * float64(c.FullScale)
	case vessel.KindLoop:
		return math.Max(seen, 1) * float64(c.FullScale) / 16000
	}
	return math.Max(seen, 1e-4*n.fullPa) // a gauge's raw unit is the pascal
}

// judge looks at all sensors once a second.
func (w *watch) judge(b *Bank, timeS float64) {
	for i := range w.sensors {
		m := &w.sensors[i]
		m.doubts[doubtNoise] = HealthUnknown
		if m.noise.grown(noiseFloor(b, i), timeS) {
			m.doubts[doubtNoise] = HealthNoisy
		}
		w.judgeFrozen(b, i, timeS)
	}
	w.judgeGas(b)
	w.judgeWalls(b)
	w.judgePlaces(b, timeS)
	w.judgeCold(b, timeS)
}

func noiseFloor(b *Bank, i int) float64 {
	if b.sensors[i].channel.Kind.Pressure() {
		return 0.003 * b.sensors[i].fullPa
	}
	return 0.5
}

// judgeFrozen finds a value that stands still though it can't: one that always
// had noise, a pressure while the gas changes its temperature, a cold junction
// while the air does.
func (w *watch) judgeFrozen(b *Bank, i int, timeS float64) {
	m := &w.sensors[i]
	s := &m.same
	// A gauge that gives pascals may cut off what is below zero.
	frozen := s.noiseGone(timeS) && !(s.raw == 0 && b.sensors[i].channel.Kind == vessel.KindGauge)
	moved := math.Abs(w.other(b, i) - s.other0)
	m.doubts[doubtFrozen] = HealthUnknown
	switch {
	case i == w.press && timeS-s.fromS > frozenPressureS && s.run > 0:
		r := &b.readings[i]
		p := r.LastGood + w.ambient
		// Only a doubt: a regulator may hold the pressure between two steps of
		// a coarse converter while the gas cools. What it steps by has been seen.
		if r.LastGood > 1e5 && moved/300*p > frozenSteps*quantum(&b.sensors[i], float64(s.step)) {
			m.doubts[doubtFrozen] = HealthFrozen
		}
	case (i == w.cold || i == w.air) && timeS-s.fromS > frozenAirS:
		frozen = frozen || moved > frozenAirK
	}
	switch {
	case frozen && s.run > 0:
		m.latch = HealthFrozen
	case m.latch == HealthFrozen:
		m.latch = HealthUnknown
	}
}

const (
	frozenPressureS = 15.0
	frozenSteps     = 10.0 // of the converter that the pressure should have moved
	frozenAirS      = 1200.0
	frozenAirK      = 2.0
)
