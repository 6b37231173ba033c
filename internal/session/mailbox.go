package session

import (
	"io"
	"sync"
	"sync/atomic"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// mailbox holds the newest Snapshot only. Whoever is slow misses Snapshots;
// nobody waits for anybody.
type mailbox struct {
	notice chan struct{} // has room for one

	mu     sync.Mutex // held for a copy at the most
	newest monitor.Snapshot
}

func (m *mailbox) init() {
	m.newest, m.notice = monitor.Unknown(), make(chan struct{}, 1)
}

func (m *mailbox) latest() monitor.Snapshot {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.newest
}

func (m *mailbox) put(s *monitor.Snapshot) {
	m.mu.Lock()
	m.newest = *s
	m.mu.Unlock()
	m.announce()
}

func (m *mailbox) announce() {
	select {
	case m.notice <- struct{}{}:
	default:
	}
}

// Listener is a host without screen or log: it takes a logger's bytes and
// keeps the newest advice, so that a pretended operator can follow it. It is
// the host's end of a cable within the program: Read never gives anything.
type Listener struct {
	step   Stepper
	dec    wire.Decoder
	advice atomic.Pointer[advise.Advice]
	once   sync.Once
	closed chan struct{}
}

// NewListener makes a Listener.
func NewListener(step Stepper) *Listener {
	l := &Listener{step: step, closed: make(chan struct{})}
	first := monitor.Unknown().Advice
	l.advice.Store(&first)
	return l
}

// Write takes what the logger says. It is for one goroutine.
func (l *Listener) Write(p []byte) (int, error) {
	select {
	case <-l.closed:
		return 0, io.ErrClosedPipe
	default:
	}
	l.dec.Decode(p, func(f wire.Frame) {
		a := l.step.Step(f).Advice
		l.advice.Store(&a)
	})
	return len(p), nil
}

// Read waits for Close.
func (l *Listener) Read([]byte) (int, error) {
	<-l.closed
	return 0, io.EOF
}

// Close ends the listening.
func (l *Listener) Close() error {
	l.once.Do(func() { close(l.closed) })
	return nil
}

// Advice is the newest.
func (l *Listener) Advice() advise.Advice { return *l.advice.Load() }
