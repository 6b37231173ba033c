package session

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// patience is how long a test waits for a condition before it fails; it is
// no measurement.
const patience = 20 * time.Second

// handClock is a clock that a test moves.
type handClock struct {
	mu     sync.Mutex
	now    time.Time
	ticks  chan time.Time
	settle func() // called after each tick
}

func newHandClock() *handClock {
	return &handClock{now: time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC), ticks: make(chan time.Time)}
}

func (c *handClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *handClock) Tick(time.Duration) (<-chan time.Time, func()) { return c.ticks, func() {} }

// pass lets d pass in ticks. Each is used by the loop before the next comes:
// it is sent twice, and the second, which changes nothing, is taken only when
// the first is done.
func (c *handClock) pass(t *testing.T, d time.Duration) {
	t.Helper()
	for ; d > 0; d -= tickEvery {
		c.mu.Lock()
		c.now = c.now.Add(tickEvery)
		now := c.now
		c.mu.Unlock()
		for range 2 {
			select {
			case c.ticks <- now:
			case <-time.After(patience):
				t.Fatal("the loop does not take its ticks")
			}
		}
		c.settle()
	}
}

// scriptCable is a cable that says what a test says. Its channel has no
// buffer: when say returns, the loop has what was said.
type scriptCable struct {
	t      *testing.T
	clock  *handClock
	events chan logger.Event
	err    error

	mu     sync.Mutex
	sent   [][]byte
	closed bool
}

func (c *scriptCable) Events() <-chan logger.Event { return c.events }
func (c *scriptCable) Err() error                  { return c.err }

func (c *scriptCable) Send(frame []byte) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.sent = append(c.sent, append([]byte(nil), frame...))
	return nil
}

func (c *scriptCable) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closed = true
	return nil
}

func (c *scriptCable) sends() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.sent)
}

func (c *scriptCable) say(ev logger.Event) {
	c.t.Helper()
	ev.At = c.clock.Now()
	select {
	case c.events <- ev:
	case <-time.After(patience):
		c.t.Fatal("the loop does not take the cable's events")
	}
}

func (c *scriptCable) bytes(p []byte) { c.t.Helper(); c.say(logger.Event{Kind: logger.Bytes, Data: p}) }

// memoryLog keeps frames in memory, and can be told to fail, hang or panic.
type memoryLog struct {
	mu     sync.Mutex
	kept   []byte
	calls  int
	err    error
	hold   chan struct{} // not nil: Append waits for its closing
	panics bool
	full   bool   // Append refuses
	lost   uint64 // what it refused
	closed bool
}

func (m *memoryLog) Append(frame []byte) error {
	m.mu.Lock()
	hold := m.hold
	m.mu.Unlock()
	if hold != nil {
		<-hold
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.calls += bytes.Count(frame, []byte{0}) // frames
	if m.panics {
		panic("the log panics on purpose")
	}
	if m.full {
		m.lost++
		return errors.New("the queue is full")
	}
	if m.err == nil {
		m.kept = append(m.kept, frame...)
	}
	return m.err
}

func (m *memoryLog) set(f func()) {
	m.mu.Lock()
	defer m.mu.Unlock()
	f()
}

func (m *memoryLog) Err() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.err
}

func (m *memoryLog) Lost() uint64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.lost
}

func (m *memoryLog) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed = true
	return nil
}

// frames reads the log back as a replay does.
func (m *memoryLog) frames() (out []wire.Frame) {
	m.mu.Lock()
	defer m.mu.Unlock()
	d := wire.Decoder{Aligned: true}
	d.Decode(m.kept, func(f wire.Frame) { out = append(out, f.Clone()) })
	return out
}

// countStepper writes down each input and makes a Snapshot that depends on
// all of them.
type countStepper struct {
	mu     sync.Mutex
	inputs []wire.Frame
	sum    uint64
	before func(wire.Frame)
}

func (c *countStepper) Step(f wire.Frame) monitor.Snapshot {
	if c.before != nil {
		c.before(f)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.inputs = append(c.inputs, f.Clone())
	c.sum = c.sum*1099511628211 + uint64(f.Type)<<8 + uint64(f.Seq)
	for _, b := range f.Body {
		c.sum = c.sum*1099511628211 + uint64(b)
	}
	return monitor.Snapshot{Seq: uint64(len(c.inputs)), GasMassKg: float64(c.sum >> 11)}
}

func (c *countStepper) got() []wire.Frame {
	c.mu.Lock()
	defer c.mu.Unlock()
	return append([]wire.Frame(nil), c.inputs...)
}

func (c *countStepper) steps() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.inputs)
}

// of are the inputs of a type.
func (c *countStepper) of(t wire.Type) (out []wire.Frame) {
	for _, f := range c.got() {
		if f.Type == t {
			out = append(out, f)
		}
	}
	return out
}

// rig is a running session made of fakes.
type rig struct {
	t       *testing.T
	s       *Session
	clock   *handClock
	cable   *scriptCable
	log     *memoryLog
	stepper *countStepper
	cancel  context.CancelFunc
	result  chan error
}

func newRig(t *testing.T, change func(*Config)) *rig {
	t.Helper()
	r := &rig{t: t, clock: newHandClock(), log: &memoryLog{}, stepper: &countStepper{}, result: make(chan error, 1)}
	r.cable = &scriptCable{t: t, clock: r.clock, events: make(chan logger.Event)}
	cfg := Config{Cable: r.cable, Stepper: r.stepper, Log: r.log, Clock: r.clock, CloseMost: patience,
		Start: wire.LogStart{App: wire.MakeLabel("test")}}
	if change != nil {
		change(&cfg)
	}
	s := must.Get(New(cfg))(t)
	r.s = s
	r.clock.settle = r.settle
	return r
}

// settle waits until a log that does not hang has got what was used, for the
// hand clock runs much faster than a goroutine may be given its turn.
func (r *rig) settle() {
	want := r.stepper.steps()
	if r.s.cfg.StartLogged {
		want--
	}
	must.Soon(r.t, "the log has what was used", func() bool {
		r.log.mu.Lock()
		defer r.log.mu.Unlock()
		return r.log.hold != nil || r.log.calls >= want
	})
}

func (r *rig) run() *rig {
	ctx, cancel := context.WithCancel(context.Background())
	r.cancel = cancel
	r.t.Cleanup(cancel)
	go func() { r.result <- r.s.Run(ctx) }()
	must.Soon(r.t, "the session has begun, or failed", func() bool {
		select {
		case <-r.s.Done():
			return true
		default:
			return len(r.stepper.of(wire.TypeClock)) > 0
		}
	})
	return r
}

func (r *rig) end() error {
	r.t.Helper()
	r.cancel()
	return r.wait()
}

func (r *rig) wait() error {
	r.t.Helper()
	return must.Comes(r.t, "Run ends", r.result)
}

func hello() []byte { return helloSeq(0) }

func helloSeq(seq uint8) []byte {
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: 1, RateMHz: 50000, N: 1}
	h.Channels[0] = wire.Channel{Kind: wire.KindCounts, Scale: 4095, Label: wire.MakeLabel("pressure")}
	return wire.AppendHello([]byte{0}, seq, &h) // after the delimiter that a fresh decoder waits for
}

func sample(seq uint8) []byte {
	s := wire.Sample{TimeMS: 20 * uint32(seq), N: 1}
	s.Values[0] = 409 + int32(seq)
	return wire.AppendSample(nil, seq, &s)
}

func parseLink(t *testing.T, f wire.Frame) wire.Link {
	t.Helper()
	var l wire.Link
	must.Do(t, wire.ParseLink(f.Body, &l))
	return l
}

// wantSame compares what was used with what was recorded.
func wantSame(t *testing.T, used, recorded []wire.Frame) {
	t.Helper()
	for i := range min(len(used), len(recorded)) {
		u, r := used[i], recorded[i]
		must.Need(t, u.Type == r.Type && u.Seq == r.Seq && bytes.Equal(u.Body, r.Body),
			"input %d: used %02x %d % x, recorded %02x %d % x", i, uint8(u.Type), u.Seq, u.Body, uint8(r.Type), r.Seq, r.Body)
	}
	must.Need(t, len(used) == len(recorded) && len(used) != 0, "%d inputs used, %d recorded", len(used), len(recorded))
}

func types(frames []wire.Frame) (s string) {
	for _, f := range frames {
		s += fmt.Sprintf("%02x ", uint8(f.Type))
	}
	return s
}
