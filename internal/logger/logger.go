// Package logger opens a logger by serial port or TCP address,
// keeps it open and hands out what it says as a bounded stream of events. It
// knows nothing of vessels: it delivers bytes, the state of the cable, and
// (Auto) frames.
package logger

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"fillwright/internal/fault"
)

// Conn is an open logger.
type Conn interface {
	// Read waits for bytes for a short while only (readWait) and returns
	// 0, nil when none came, so that its caller can look at other things.
	// io.EOF means that there will never be more; every other error means
	// that the cable is gone. Never returns bytes together with an error.
	Read(p []byte) (int, error)
	// Write may block without end on a stuck cable.
	Write(p []byte) (int, error)
	Close() error
}

// Opener opens one certain logger, again and again.
type Opener interface {
	// Open returns an *OpenError when it can't.
	Open(ctx context.Context) (Conn, error)
	// Name is the logger's name for people: the port, the address, the file.
	Name() string
}

// Kind says what an Event is.
type Kind uint8

// The kinds.
const (
	Bytes   Kind = iota + 1 // Data holds bytes in the order in which they came
	Up                      // the cable is open; Text says where
	Down                    // the cable is gone, or a file has ended; Text says why
	Trouble                 // something is not as it should be, and the state has not changed
)

// Event is one thing that happened on the cable.
type Event struct {
	Kind Kind
	Data []byte    // of Bytes; belongs to the receiver
	At   time.Time // when it was read or noticed
	Text string    // one line for people
	Err  error     // the cause of a Down or a Trouble, if there is one
}

// Config says which logger to open and how patient to be. Zero values are
// replaced by the defaults that are named.
type Config struct {
	Opener       Opener
	Hello        []byte           // sent after each opening, to ask for a hello; nil: nothing is sent
	QueueMost    int              // bytes kept for a slow receiver (1 MiB, some 8 minutes at 50 Hz)
	BackoffLeast time.Duration    // first wait before opening again (0.2 s)
	BackoffMost  time.Duration    // longest wait before opening again (2 s)
	Now          func() time.Time // time.Now
}

// readWait is how long a Conn's Read waits at most; the loop looks that often
// whether it has to end.
const readWait = 100 * time.Millisecond

// Logger is a logger that is kept open. Create it with Open.
type Logger struct {
	cfg     Config
	ctx     context.Context
	cancel  context.CancelFunc
	queue   *queue
	events  chan Event
	running sync.WaitGroup
	failed  atomic.Pointer[error]
	writers atomic.Int32 // writer goroutines alive

	mu  sync.Mutex
	out *writer // nil while the cable is gone
}

// Open opens the logger. A logger that can't be opened now is an error at
// once, an *OpenError that says what to do; one that was open and goes away
// is opened again for ever, until ctx ends or Close is called.
func Open(ctx context.Context, cfg Config) (*Logger, error) {
	if cfg.QueueMost == 0 {
		cfg.QueueMost = 1 << 20
	}
	if cfg.BackoffLeast == 0 {
		cfg.BackoffLeast = 200 * time.Millisecond
	}
	if cfg.BackoffMost == 0 {
		cfg.BackoffMost = 2 * time.Second
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	conn, err := cfg.Opener.Open(ctx)
	if err != nil {
		return nil, err
	}
	l := &Logger{cfg: cfg, queue: newQueue(cfg.QueueMost), events: make(chan Event, 1)}
	l.ctx, l.cancel = context.WithCancel(ctx)
	l.running.Add(2)
	go l.guard(func() { l.acquire(conn) })
	go l.guard(l.pump)
	return l, nil
}

// Events is closed after the last event: the context has ended, Close was
// called, a file has ended, or the logger failed (see Err).
func (l *Logger) Events() <-chan Event { return l.events }

// Err is the failure inside this package that ended Events, or nil.
func (l *Logger) Err() error {
	if p := l.failed.Load(); p != nil {
		return *p
	}
	return nil
}

// ErrNotSent says that a frame did not go out to the logger.
var ErrNotSent = errors.New("logger: not sent")

// Send hands a frame to the goroutine that writes to the cable. It never
// blocks; the error wraps ErrNotSent when the cable is gone or stuck.
func (l *Logger) Send(frame []byte) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.out == nil {
		return fmt.Errorf("%w: %s is not open", ErrNotSent, l.cfg.Opener.Name())
	}
	return l.out.send(frame)
}

// Close ends the reading and closes the cable. It waits for the end, but not
// for a write that is stuck in the operating system.
func (l *Logger) Close() error {
	l.cancel()
	l.running.Wait()
	return l.Err()
}

// guard runs a goroutine's body; a panic in it ends the logger and becomes
// its error, for a terminal must be restored before anything is printed.
func (l *Logger) guard(body func()) {
	defer l.running.Done()
	defer func() {
		if r := recover(); r != nil {
			l.fail(fault.Of("reading the logger", r))
		}
	}()
	body()
}

func (l *Logger) fail(err error) {
	l.failed.CompareAndSwap(nil, &err)
	l.cancel()
	l.queue.close()
}

// pump carries events from the queue to the channel.
func (l *Logger) pump() {
	defer close(l.events)
	for {
		ev, ok := l.queue.wait(l.ctx)
		if !ok {
			return
		}
		select {
		case l.events <- ev:
		case <-l.ctx.Done():
			return
		}
	}
}
