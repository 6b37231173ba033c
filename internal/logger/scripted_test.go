//go:build unix

package logger

import (
	"context"
	"errors"
	"sync"
	"time"
)

// scripted is a cable that says its chunks once and is then silent, fails or
// panics.
type scripted struct {
	failReads bool
	panics    bool

	mu     sync.Mutex
	chunks [][]byte
	opened []time.Time
	closed int
}

func (s *scripted) Name() string { return "script" }

func (s *scripted) Open(context.Context) (Conn, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.opened = append(s.opened, time.Now())
	return scriptedConn{s}, nil
}

func (s *scripted) left() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.chunks)
}

func (s *scripted) waits() []time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	var w []time.Duration
	for i := 1; i < len(s.opened); i++ {
		w = append(w, s.opened[i].Sub(s.opened[i-1]))
	}
	return w
}

func (s *scripted) allClosed() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.closed == len(s.opened)
}

type scriptedConn struct{ s *scripted }

func (c scriptedConn) Read(p []byte) (int, error) {
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	switch {
	case c.s.panics:
		panic("on purpose")
	case c.s.failReads:
		return 0, errors.New("dead on arrival")
	case len(c.s.chunks) == 0:
		return 0, nil
	}
	n := copy(p, c.s.chunks[0])
	c.s.chunks = c.s.chunks[1:]
	return n, nil
}

func (c scriptedConn) Write(p []byte) (int, error) { return len(p), nil }

func (c scriptedConn) Close() error {
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	c.s.closed++
	return nil
}
