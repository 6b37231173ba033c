package probe

import (
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// StaleDefaultS is how old a value may be before it counts as stale.
const StaleDefaultS = 1.0

// faultHoldS is how long a fault frame counts. A logger repeats it each
// second while the fault lasts, and one may be lost.
const faultHoldS = 2.5

// Bank is all sensors of a profile on one logger. It has no clock: session
// time is handed in. Sample and Readings do not allocate.
type Bank struct {
	StaleS float64 // seconds; NewBank sets StaleDefaultS

	offsets  *Offsets
	sensors  []sensor
	readings []Reading
	cold     int     // place of the cold junction, -1: none
	coldK    float64 // its last good value
	coldAt   coldEMF // of it, as last worked out
	coldS    float64 // session time of that, NaN: none yet
	watch    watch

	momentary bool // no watch
	board     uint64
	bound     bool // a hello came
	nowS      float64
}

// sensor is what the Bank keeps of a channel beside its Reading.
type sensor struct {
	channel     vessel.Channel
	letter      *letter
	at          int // place in a sample, -1: not on the logger
	scale       float64
	least, most float64 // plausible values, SI
	seenS       float64 // session time of the last sample, NaN: none yet
	fault       Health
	faultS      float64 // session time of the fault frame
	offset      Offset  // in force on this board
	fullPa      float64 // full scale of a pressure sensor, or what stands in for it

	goodBefore, goodBeforeS float64 // last good value and its time, before this sample
}

// NewBank makes the Bank of a profile's channels. off may be nil. Nothing is
// read until Hello has said what the logger sends.
func NewBank(p *vessel.Profile, off *Offsets) *Bank {
	b := &Bank{
		StaleS: StaleDefaultS, offsets: off, cold: -1,
		sensors:  make([]sensor, len(p.Channels)),
		readings: make([]Reading, len(p.Channels)),
	}
	for i, c := range p.Channels {
		least, most := plausible(p, &c)
		b.sensors[i] = sensor{channel: c, letter: letterOf(c.Kind), at: -1, least: least, most: most, fullPa: float64(c.FullScale)}
		if c.FullScale == 0 {
			b.sensors[i].fullPa = float64(p.Limits.Pressure)
		}
		if c.Role == vessel.RoleColdJunction {
			b.cold = i
		}
	}
	b.watch = newWatch(p)
	b.Forget()
	return b
}

// Forget forgets what was read, as for another board.
func (b *Bank) Forget() {
	b.watch.clear()
	b.coldK, b.coldS = math.NaN(), math.NaN()
	for i := range b.sensors {
		s := &b.sensors[i]
		s.seenS, s.fault, s.faultS = math.NaN(), HealthUnknown, math.NaN()
		b.readings[i] = Reading{
			Channel: s.channel.Index, Role: s.channel.Role, Kind: s.channel.Kind, Station: s.channel.Station,
			Raw: wire.ValueMissing, Value: math.NaN(), TimeS: math.NaN(), LastGood: math.NaN(),
		}
	}
}

// Readings gives one Reading a channel, in the profile's order. The slice is
// the Bank's own and changes with the next call: copy it to keep it.
func (b *Bank) Readings() []Reading { return b.readings }

// Sample takes in one sample at session time timeS. Samples before the first
// Hello can't be understood and are passed over.
func (b *Bank) Sample(s *wire.Sample, timeS float64) {
	b.nowS = timeS
	if !b.bound {
		return
	}
	if b.cold >= 0 {
		b.read(b.cold, s)
		b.keepCold(s)
	}
	for i := range b.sensors {
		if i != b.cold {
			b.read(i, s)
		}
	}
	if !b.momentary {
		b.watch.follow(b, timeS)
	}
}

// Momentary lets the Bank judge each sample by itself, without what came
// before: for a conversion of readings that keeps every one of them.
func (b *Bank) Momentary() *Bank {
	b.momentary = true
	return b
}

// keepCold holds the last good cold junction, for loggers that read it less
// often than the thermocouples. One that reads nonsense is not held over.
func (b *Bank) keepCold(s *wire.Sample) {
	r := &b.readings[b.cold]
	switch {
	case s.Flags&wire.FlagColdJunctionFault != 0:
		b.coldS = math.NaN()
	case r.Health == HealthGood:
		b.coldK, b.coldS = r.Value, b.nowS
	case r.Health != HealthOpen:
		b.coldS = math.NaN()
	}
}

// coldGood says whether thermocouples can be compensated now.
func (b *Bank) coldGood() bool { return b.nowS-b.coldS <= b.StaleS }

// read turns the raw value of one channel into its Reading.
func (b *Bank) read(i int, s *wire.Sample) {
	n, r := &b.sensors[i], &b.readings[i]
	if n.at < 0 || n.at >= s.N {
		b.age(i)
		return
	}
	n.seenS = b.nowS
	n.goodBefore, n.goodBeforeS = r.LastGood, r.TimeS
	r.Raw = s.Values[n.at]
	value, health := b.convert(n, r.Raw, s.Flags)
	if health == HealthGood {
		r.Offset = n.offset.Excess(value)
		value -= r.Offset
		if !(value >= n.least && value <= n.most) {
			health = HealthOutOfRange
		}
	}
	if b.nowS-n.faultS <= faultHoldS {
		health = n.fault
	}
	r.set(value, health, b.nowS)
}

func (r *Reading) set(value float64, health Health, timeS float64) {
	r.Health, r.Doubt = health, HealthUnknown
	if health != HealthGood {
		r.Value = math.NaN()
		return
	}
	r.Value, r.LastGood, r.TimeS = value, value, timeS
}

// convert gives the value in SI, before the offset.
func (b *Bank) convert(n *sensor, raw int32, flags uint16) (value float64, health Health) {
	if raw == wire.ValueMissing {
		return math.NaN(), HealthOpen
	}
	switch n.channel.Kind {
	case vessel.KindRatiometric:
		value, health = ratiometricPa(&n.channel, raw, n.scale)
		return value, supplied(health, flags)
	case vessel.KindLoop:
		value, health = loopPa(&n.channel, raw)
		return value, supplied(health, flags)
	case vessel.KindGauge:
		return float64(raw), HealthGood
	case vessel.KindCelsius:
		return float64(raw)*1e-3 + zeroCK, HealthGood
	}
	return b.thermocouple(n, float64(raw)*1e-6)
}

// supplied doubts a sensor that the logger can't feed.
func supplied(h Health, flags uint16) Health {
	if h == HealthGood && flags&wire.FlagSupplyLow != 0 {
		return HealthFault
	}
	return h
}

// thermocouple turns an emf in mV into K. An emf outside of the type's range
// is that of an input that has drifted to its rail: open.
func (b *Bank) thermocouple(n *sensor, mv float64) (tempK float64, health Health) {
	if n.letter == nil {
		return math.NaN(), HealthUnbound
	}
	if !n.channel.Compensated {
		if !b.coldGood() {
			return math.NaN(), HealthNoColdJunction
		}
		mv += b.coldEMF(n.letter)
	}
	t, ok := n.letter.temperatureC(mv)
	if !ok {
		return math.NaN(), HealthOpen
	}
	return t + zeroCK, HealthGood
}

// coldEMF is a letter's emf at the cold junction, mV; of the sensors of one
// sample most have the same.
func (b *Bank) coldEMF(l *letter) float64 {
	if c := &b.coldAt; c.letter != l || c.tempK != b.coldK {
		mv, _ := l.at(b.coldK - zeroCK)
		*c = coldEMF{l, b.coldK, mv}
	}
	return b.coldAt.mv
}

// coldEMF is an emf with what it was taken of.
type coldEMF struct {
	letter    *letter
	tempK, mv float64
}

// Advance ages the readings when session time passes without a sample.
func (b *Bank) Advance(timeS float64) {
	b.nowS = timeS
	for i := range b.sensors {
		b.age(i)
	}
}

// age marks a reading stale whose channel has not been sampled for StaleS.
func (b *Bank) age(i int) {
	n, r := &b.sensors[i], &b.readings[i]
	if b.nowS-n.seenS > b.StaleS {
		r.set(math.NaN(), HealthStale, b.nowS)
	}
}

// faultChannelAll is the channel of a fault that concerns the whole logger.
const faultChannelAll = 255

// Fault takes in a logger's fault frame. It counts against its channel, or
// against all, until none has come for a while.
func (b *Bank) Fault(f *wire.Fault) {
	health := HealthFault
	switch f.Code {
	case wire.FaultOpen:
		health = HealthOpen
	case wire.FaultShort:
		health = HealthShort
	}
	for i := range b.sensors {
		n := &b.sensors[i]
		if n.at < 0 || f.Channel != faultChannelAll && int(f.Channel) != n.channel.Index {
			continue
		}
		n.fault, n.faultS = health, b.nowS
		b.readings[i].set(math.NaN(), health, b.nowS)
	}
}
