// Package session is the live loop: it holds the cable, the run log and the
// monitor together. Everything that can change a Snapshot is put into the run
// log before the monitor steps on it, so that a replay of the log gives the
// same Snapshots. Nothing here waits for a screen or for a disk.
package session

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"
	"unicode/utf8"

	"fillwright/internal/fault"
	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// Cable is where the logger's bytes come from; *logger.Logger is one.
type Cable interface {
	Events() <-chan logger.Event // closed after the last
	Send(frame []byte) error     // never blocks
	Err() error                  // why Events ended, nil for a plain end
	Close() error
}

// Decoder finds frames in the logger's bytes; *logger.Auto is one.
type Decoder interface {
	Decode(p []byte, yield func(wire.Frame))
	Interrupted()      // the cable was gone
	Complaint() string // once, when nothing can be understood
}

// Log keeps frames; *runlog.Writer is one. An error from Append or Err says
// that the log is in trouble; it may recover. A Log that blocks does no harm
// but to itself.
type Log interface {
	Append(frame []byte) error
	Err() error
	Lost() uint64 // frames that Append refused: they are nowhere
	Close() error
}

// Stepper turns inputs into Snapshots; *monitor.Monitor is one.
type Stepper interface {
	Step(wire.Frame) monitor.Snapshot
}

// Config is what a Session is made of. Cable and Stepper are required.
type Config struct {
	Cable   Cable
	Stepper Stepper
	Decoder Decoder // nil: logger.Auto
	Log     Log     // nil: nothing is recorded
	Clock   Clock   // nil: the system's

	// Start is the first input; its version is filled in, and its time when
	// that is 0. StartLogged says that the Log has written it already, as
	// runlog.OpenWriter does with the very same Start.
	Start       wire.LogStart
	StartLogged bool

	Texts wire.Texts // in force

	// Speed is how many times faster than the host's time a pretended logger
	// goes; 0: 1. The host's time is told as if it went as fast.
	Speed float64

	CloseMost time.Duration // longest wait for the log at the end (15 s)
}

// Limits of a session.
const (
	entriesMost = 64   // operator's entries that wait for the loop
	inputsMost  = 8192 // frames that wait for a stuck log, at most 4 MiB
	tickEvery   = 50 * time.Millisecond
	clockEvery  = time.Minute
	askEvery    = 2 * time.Second // a bootloader swallows what comes before
	asksMost    = 5               // after that the logger's own hello every 5 s has to do
	noteEvery   = time.Second
	cableMost   = 5 * time.Second // longest wait for the cable to close
)

// Session is one time of watching. Create it with New, then Run it once.
type Session struct {
	cfg      Config
	texts    []byte // the frames of cfg.Texts
	textsSeq uint8  // of the frame behind them
	entries  chan wire.Entry
	feed     mailbox
	failed   atomic.Pointer[error]
	cancel   atomic.Pointer[context.CancelFunc]
	done     chan struct{}
	started  atomic.Bool

	mu    sync.Mutex
	ended bool
}

// New checks cfg and makes a Session.
func New(cfg Config) (*Session, error) {
	if cfg.Cable == nil || cfg.Stepper == nil {
		return nil, errors.New("session: a cable and a stepper are required")
	}
	texts, seq, err := wire.AppendTexts(nil, 1, &cfg.Texts) // behind the start
	if err != nil {
		return nil, err
	}
	if cfg.Decoder == nil {
		cfg.Decoder = &logger.Auto{}
	}
	if cfg.Clock == nil {
		cfg.Clock = SystemClock()
	}
	if cfg.Speed == 0 {
		cfg.Speed = 1
	}
	if cfg.CloseMost == 0 {
		cfg.CloseMost = 15 * time.Second
	}
	s := &Session{cfg: cfg, texts: texts, textsSeq: seq, entries: make(chan wire.Entry, entriesMost), done: make(chan struct{})}
	s.feed.init()
	return s, nil
}

// Latest is the newest Snapshot. Before the first input everything in it is
// unknown.
func (s *Session) Latest() monitor.Snapshot { return s.feed.latest() }

// Notify receives after there is a newer Snapshot than before; many in a row
// count as one. It is for one receiver.
func (s *Session) Notify() <-chan struct{} { return s.feed.notice }

// Done is closed when Run has ended.
func (s *Session) Done() <-chan struct{} { return s.done }

// Errors of Entry.
var (
	ErrEnded    = errors.New("the watching has ended; the entry was not taken")
	ErrTooMany  = errors.New("too many entries at once; the entry was not taken, try again")
	ErrBadEntry = errors.New("the entry was not taken")
)

// Entry takes something that the operator did. It never blocks. An entry that
// was taken (nil) is recorded and used, also when the session ends meanwhile.
func (s *Session) Entry(e wire.Entry) error {
	switch {
	case e.Kind < wire.EntryAcknowledge || e.Kind > wire.EntryLast:
		return fmt.Errorf("%w: kind %d is not known", ErrBadEntry, e.Kind)
	case len(e.Text) > wire.EntryTextMost:
		return fmt.Errorf("%w: its text has %d bytes, the most is %d; shorten it", ErrBadEntry, len(e.Text), wire.EntryTextMost)
	case !utf8.ValidString(e.Text):
		return fmt.Errorf("%w: its text is not UTF-8", ErrBadEntry)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended {
		return ErrEnded
	}
	select {
	case s.entries <- e:
		return nil
	default:
		return ErrTooMany
	}
}

// Run watches until ctx ends or the cable does, and closes the cable and the
// log. The end of ctx and of a file is no error. A panic in the session or
// below it comes back as an error, so that the caller can restore a terminal.
func (s *Session) Run(ctx context.Context) error {
	if s.started.Swap(true) {
		return errors.New("session: Run was called twice")
	}
	defer close(s.done)
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.cancel.Store(&cancel)
	log := startLogWriter(s)
	s.guard("watching", func() { newLoop(s, log).run(ctx) })
	err := s.finish(log)
	s.feed.announce()
	return err
}

// finish refuses further entries, then closes everything, with limits.
func (s *Session) finish(k *logWriter) error {
	s.mu.Lock()
	s.ended = true
	s.mu.Unlock()
	s.guard("the last entries", func() { k.loop.drainEntries() })
	cableErr := within(cableMost, "the cable could not be closed", s.cfg.Cable.Close)
	logErr := k.close(s.cfg.CloseMost)
	if p := s.failed.Load(); p != nil {
		return errors.Join(*p, logErr)
	}
	if err := s.cfg.Cable.Err(); err != nil {
		return errors.Join(err, logErr)
	}
	return errors.Join(cableErr, logErr)
}

// guard runs body in the caller's goroutine and keeps a panic as the
// session's failure, which ends it.
func (s *Session) guard(what string, body func()) {
	defer func() {
		if r := recover(); r != nil {
			err := fault.Of(what, r)
			s.failed.CompareAndSwap(nil, &err)
			if c := s.cancel.Load(); c != nil {
				(*c)()
			}
		}
	}()
	body()
}

// within calls f and waits for it for a limited time.
func within(most time.Duration, late string, f func() error) error {
	result := make(chan error, 1)
	go func() { result <- fault.Guard("closing", f) }()
	timer := time.NewTimer(most)
	defer timer.Stop()
	select {
	case err := <-result:
		return err
	case <-timer.C:
		return fmt.Errorf("%s within %v", late, most)
	}
}

// Clock is time as the session sees it.
type Clock interface {
	Now() time.Time
	// Tick sends the time about every d until stop is called. Ticks that are
	// not taken are left out.
	Tick(d time.Duration) (c <-chan time.Time, stop func())
}

// SystemClock is the computer's clock.
func SystemClock() Clock { return systemClock{} }

type systemClock struct{}

func (systemClock) Now() time.Time { return time.Now() }

func (systemClock) Tick(d time.Duration) (<-chan time.Time, func()) {
	t := time.NewTicker(d)
	return t.C, t.Stop
}
