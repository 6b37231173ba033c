// Package follow watches a recording that somebody else is making: a run log
// that grows, or the same bytes out of a pipe. It steps a monitor of its own on
// the very frames that the maker stepped on, so that it comes to the same
// Snapshots; and it judges by its own clock whether what comes is of now. It
// writes nothing and enters nothing.
package follow

import (
	"context"
	"errors"
	"io"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"fillwright/internal/fault"
	"fillwright/internal/monitor"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// Config is what a Follower is made of. Source and Begin are required.
type Config struct {
	// Source gives the bytes of the recording: Read waits until there are some,
	// and io.EOF says that no more will come. A Tail is one.
	Source io.Reader
	// Begin makes the Stepper of a part of the recording, with the texts that it
	// begins with; they are empty where the following began in its middle.
	Begin func(wire.Texts) (session.Stepper, error)
	// Seen, if not nil, is called with each input and the Snapshot after it.
	Seen func(wire.Type, *monitor.Snapshot)
	// Still, if not nil, is called once a second while nothing comes, with what
	// is still known: nothing that could pass for the present.
	Still func(*monitor.Snapshot)
	Clock session.Clock // nil: the system's
	Speed float64       // of a pretended logger; 0: 1
}

// Follower is one time of following. Run it once.
type Follower struct {
	cfg    Config
	newest atomic.Pointer[monitor.Snapshot]
	late   atomic.Uint64 // bits of LateS
	notify chan struct{}
	ready  chan struct{} // closed when the first part has begun
	begun  sync.Once

	dec     wire.Decoder
	prelude prelude
	stepper session.Stepper
	err     error            // of Begin
	last    monitor.Snapshot // as the maker has it
	pace    pace
	cameAt  time.Time
	stillAt time.Time
}

// ErrReadOnly is the answer to entries.
var ErrReadOnly = errors.New("this screen only follows; enter it at the watch that records")

// ErrEnded says that the pipe has ended.
var ErrEnded = errors.New("the recording comes no more: its pipe has ended")

const (
	chunkMost = 64 << 10
	tickEvery = 100 * time.Millisecond
	// stillAfter is how long nothing must come to count as still: whoever records
	// writes four times a second, whatever happens.
	stillAfter = time.Second
)

// New makes a Follower.
func New(cfg Config) (*Follower, error) {
	if cfg.Source == nil || cfg.Begin == nil {
		return nil, errors.New("follow: a source and a stepper are required")
	}
	if cfg.Clock == nil {
		cfg.Clock = session.SystemClock()
	}
	if cfg.Speed == 0 {
		cfg.Speed = 1
	}
	f := &Follower{cfg: cfg, notify: make(chan struct{}, 1), ready: make(chan struct{}), dec: wire.Decoder{Aligned: true}, last: monitor.Unknown()}
	blank := monitor.Unknown()
	f.newest.Store(&blank)
	f.late.Store(math.Float64bits(math.Inf(1)))
	return f, nil
}

// Ready is closed when the first part has begun, and when Run has ended.
func (f *Follower) Ready() <-chan struct{} { return f.ready }

// Latest is the newest Snapshot, as whoever records has it.
func (f *Follower) Latest() monitor.Snapshot { return *f.newest.Load() }

// LateS is how much later than it was recorded the newest Snapshot came; +Inf
// while what comes is not known to be of now.
func (f *Follower) LateS() float64 { return math.Float64frombits(f.late.Load()) }

// Notify receives after there is a newer Snapshot; it is for one receiver.
func (f *Follower) Notify() <-chan struct{} { return f.notify }

// Entry refuses.
func (f *Follower) Entry(wire.Entry) error { return ErrReadOnly }

// piece is what came out of the source, or why no more does.
type piece struct {
	data []byte
	err  error
}

// Run follows until ctx ends (its error), the source does (ErrEnded, or its
// error), or a part can't be begun.
func (f *Follower) Run(ctx context.Context) error {
	defer f.begun.Do(func() { close(f.ready) })
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	pieces := make(chan piece, 4)
	go pump(ctx, f.cfg.Source, pieces)
	ticks, stop := f.cfg.Clock.Tick(tickEvery)
	defer stop()
	f.cameAt = f.cfg.Clock.Now()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case p := <-pieces:
			if err := f.arrived(p); err != nil {
				return err
			}
		case now := <-ticks:
			f.tick(now)
		}
	}
}

// pump reads the source. A Read that hangs holds nothing up; it ends with the
// program.
func pump(ctx context.Context, from io.Reader, to chan<- piece) {
	defer func() {
		if r := recover(); r != nil {
			to <- piece{err: fault.Of("following", r)}
		}
	}()
	for {
		buf := make([]byte, chunkMost)
		n, err := from.Read(buf)
		select {
		case to <- piece{buf[:n], err}:
		case <-ctx.Done():
			return
		}
		if err != nil {
			return
		}
	}
}

// arrived steps on what came.
func (f *Follower) arrived(p piece) error {
	now := f.cfg.Clock.Now()
	if len(p.data) > 0 {
		f.cameAt = now
		f.dec.Decode(p.data, f.frame)
		if f.err != nil {
			return f.err
		}
		f.pace.at(now, &f.last, f.cfg.Speed)
		f.show()
	}
	if errors.Is(p.err, io.EOF) {
		return ErrEnded
	}
	return p.err
}

// frame takes a frame. Those that a part begins with are held until its texts
// are whole, for they say what to step with.
func (f *Follower) frame(fr wire.Frame) {
	if f.err != nil {
		return
	}
	if f.prelude.begins(fr, f.stepper != nil) {
		f.stepper = nil
	}
	if f.stepper != nil {
		f.step(fr)
		return
	}
	if f.prelude.hold(fr) {
		return
	}
	if f.stepper, f.err = f.cfg.Begin(f.prelude.texts); f.err != nil {
		return
	}
	f.pace = pace{}
	for _, held := range f.prelude.release() {
		f.step(held)
	}
	f.step(fr)
	f.begun.Do(func() { close(f.ready) })
}

func (f *Follower) step(fr wire.Frame) {
	f.last = f.stepper.Step(fr)
	if f.cfg.Seen != nil {
		f.cfg.Seen(fr.Type, &f.last)
	}
}

// show hands the newest out.
func (f *Follower) show() {
	s := f.last
	f.newest.Store(&s)
	f.late.Store(math.Float64bits(f.pace.lateS()))
	select {
	case f.notify <- struct{}{}:
	default:
	}
}

// tick tells whoever has no screen that nothing comes.
func (f *Follower) tick(now time.Time) {
	quiet := now.Sub(f.cameAt)
	if f.cfg.Still == nil || f.stepper == nil || quiet < stillAfter || now.Sub(f.stillAt) < time.Second {
		return
	}
	f.stillAt = now
	s := Stalled(f.last, quiet.Seconds())
	f.cfg.Still(&s)
}

// Live says whether what comes is of now. It is for Seen to ask.
func (f *Follower) Live() bool { return f.pace.live }

// known says whether a number is one.
func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
