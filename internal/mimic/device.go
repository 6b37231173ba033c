package mimic

import (
	"math"
	"math/rand/v2"
	"sync"
	"time"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The rhythm of the protocol.
const (
	helloEveryS = 5.0
	faultEveryS = 1.0
)

// Device is a pretended logger on a pretended vessel. Advance and Hear drive
// it by hand; Run drives it by the clock and any number of hosts may be
// attached meanwhile. Safe for use by several goroutines.
type Device struct {
	mu     sync.Mutex
	sim    *Simulator
	inst   *instrument
	cable  Cable
	noise  *rand.Rand
	board  uint64
	rateHz float64
	speed  float64

	boot     uint16
	cause    wire.RestartCause
	bootAtS  float64 // vessel time at which device time is 0
	downTo   float64 // vessel time until which a restart lasts
	restarts int     // of the cable's list
	seq      uint8
	nextS    float64 // vessel time of the next sample
	helloS   float64 // vessel time of the next hello
	skipped  bool    // readings were skipped since the last sample
	fresh    bool    // nothing was sent since the start
	faults   [vessel.ChannelsMost]float64
	frame    []byte

	hand      *Hand     // nil: a plan has the valve
	handBegan bool      // it has opened the supply
	trouble   []Failure // of the scene

	hub  hub
	once sync.Once
	wait bool
	done chan struct{}
	err  error
	tick time.Duration
}

// NewDevice readies a logger that watches a scene.
func NewDevice(p *vessel.Profile, sc Scene, o Options) (*Device, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	sim, err := NewSimulator(p, sc, o)
	if err != nil {
		return nil, err
	}
	d := &Device{
		sim: sim, inst: newInstrument(p, sc.Failures, o.Seed),
		cable: o.Cable, noise: stream(o.Seed, streamCable),
		board: o.Board, rateHz: o.RateHz, speed: o.Speed,
		wait: o.WaitForHost, done: make(chan struct{}), tick: 10 * time.Millisecond,
	}
	if d.hand, _ = o.Operator.(*Hand); d.hand != nil {
		d.trouble = sc.Failures
	}
	d.late(d.trouble)
	d.start(0, wire.RestartPower)
	return d, nil
}

// start begins a session of the device at vessel time atS.
func (d *Device) start(atS float64, cause wire.RestartCause) {
	d.boot++
	d.cause, d.bootAtS, d.seq = cause, atS, 0
	d.nextS, d.helloS, d.skipped, d.fresh = atS, atS, false, true
	d.forgetFaults()
}

func (d *Device) forgetFaults() {
	for i := range d.faults {
		d.faults[i] = math.Inf(-1)
	}
}

// State is the truth about the vessel now.
func (d *Device) State() Row {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.sim.State()
}

// TimeS is the vessel's time.
func (d *Device) TimeS() float64 {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.sim.TimeS()
}

// Advance lets vessel and logger go on to time toS, in whole steps of the
// integrator, and emits what the logger sends, frame by frame, as it comes out
// of the cable. The bytes are valid during the call of emit.
func (d *Device) Advance(toS float64, emit func([]byte)) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.poll(emit)
	for d.sim.TimeS()+stepS <= toS+1e-9 {
		d.sim.step(true)
		d.poll(emit)
	}
}

// poll does what is due now.
func (d *Device) poll(emit func([]byte)) {
	now := d.sim.TimeS()
	d.late(d.trouble)
	if d.restarts < len(d.cable.RestartsS) && now >= d.cable.RestartsS[d.restarts]-1e-9 {
		d.restarts++
		d.downTo = now + d.cable.DownForS
		d.start(d.downTo, wire.RestartWatchdog)
	}
	if now < d.downTo-1e-9 {
		return
	}
	if now >= d.helloS-1e-9 {
		if d.fresh { // it ends a frame that the restart cut off
			d.fresh = false
			emit([]byte{0})
		}
		d.helloS = now + helloEveryS
		d.sendHello(emit)
	}
	if d.nextS < now-stepS { // after a pause: don't run after what was missed
		d.nextS = now
	}
	for now >= d.nextS-1e-9 { // a step may be longer than the period
		d.sendSample(d.nextS, emit)
		d.nextS += 1 / d.rateHz
	}
}

// deviceMS is the logger's own clock at a time of the scene; it wraps.
func (d *Device) deviceMS(atS float64) uint32 {
	return uint32(uint64(math.Round((atS - d.bootAtS) * 1000)))
}

func (d *Device) sendHello(emit func([]byte)) {
	h := wire.Hello{
		Protocol: wire.Version, Restart: d.cause, Board: d.board, Boot: d.boot,
		FirmMajor: 1, RateMHz: uint32(math.Round(d.rateHz * 1000)),
	}
	d.inst.channels(&h)
	d.frame = wire.AppendHello(d.frame[:0], d.seq, &h)
	d.send(emit)
}

func (d *Device) sendSample(now float64, emit func([]byte)) {
	s := wire.Sample{TimeMS: d.deviceMS(now)}
	d.inst.read(d.sim, &s)
	if d.cable.stalled(now) {
		d.skipped = true
		return
	}
	if d.skipped {
		s.Flags |= wire.FlagOverrun
		d.skipped = false
	}
	d.frame = wire.AppendSample(d.frame[:0], d.seq, &s)
	d.send(emit)
	d.sendFaults(now, &s, emit)
}

// sendFaults says which thermocouples are open, when it begins and once a
// second while it lasts.
func (d *Device) sendFaults(now float64, s *wire.Sample, emit func([]byte)) {
	for i := range s.N {
		c := &d.inst.p.Channels[i]
		if s.Values[i] != wire.ValueMissing || probe.WireKind(c.Kind) != wire.KindNanovolt {
			continue
		}
		if now-d.faults[i] < faultEveryS-1e-9 {
			continue
		}
		d.faults[i] = now
		f := wire.Fault{TimeMS: s.TimeMS, Code: wire.FaultOpen, Channel: uint8(c.Index)}
		d.frame = wire.AppendFault(d.frame[:0], d.seq, f)
		d.send(emit)
	}
}

// send puts d.frame on the cable and counts it.
func (d *Device) send(emit func([]byte)) {
	d.seq++
	if d.cable.stalled(d.sim.TimeS()) {
		return
	}
	d.cable.carry(d.noise, d.frame, emit)
}

// Hear takes a frame that a host sent; answers go to emit.
func (d *Device) Hear(f wire.Frame, emit func([]byte)) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.sim.TimeS() < d.downTo-1e-9 {
		return
	}
	switch f.Type {
	case wire.TypeAskHello:
		d.sendHello(emit)
	case wire.TypeSetRate:
		var r wire.SetRate
		if wire.ParseSetRate(f.Body, &r) != nil {
			return // a damaged request is not obeyed
		}
		d.rateHz = min(max(float64(r.RateMHz)/1000, rateLeastHz), rateMostHz)
		d.nextS = d.sim.TimeS() + 1/d.rateHz
		d.sendHello(emit)
	case wire.TypePing:
		var p wire.Ping
		if wire.ParsePing(f.Body, &p) != nil {
			return
		}
		d.frame = wire.AppendPong(d.frame[:0], d.seq, wire.Pong{Token: p.Token, TimeMS: d.deviceMS(d.sim.TimeS())})
		d.send(emit)
	}
}
