// Package nonblocking passes text on to a reader that may be slow or stuck, and
// waits for nobody.
package nonblocking

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"fillwright/internal/fault"
)

// Writer passes text on to a writer from a goroutine of its own, so that a
// slow or stuck reader at the far end of a pipe holds nothing up. What it
// can't keep is dropped by whole writes and counted.
type Writer struct {
	w    io.Writer
	wake chan struct{}
	done chan struct{}

	mu      sync.Mutex
	queue   []byte
	closed  bool
	dropped uint64
	err     error // of the first write that failed; nothing is written after it
}

const (
	most      = 8 << 20         // bytes that wait: about 2 min of JSON at 50 Hz
	closeMost = 3 * time.Second // longest wait for the far end when closing
)

// New starts passing on to w.
func New(w io.Writer) *Writer {
	o := &Writer{w: w, wake: make(chan struct{}, 1), done: make(chan struct{})}
	go o.run()
	return o
}

// Write queues a copy of p and never waits. p is dropped when the queue is full.
// The error is that of an earlier write to the far end.
func (o *Writer) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	switch {
	case o.err != nil:
		return 0, o.err
	case o.closed:
		return 0, io.ErrClosedPipe
	case len(o.queue)+len(p) > most:
		o.dropped++
		return len(p), nil
	}
	o.queue = append(o.queue, p...)
	select {
	case o.wake <- struct{}{}:
	default:
	}
	return len(p), nil
}

// Failed is closed when the far end takes no more, or after Close.
func (o *Writer) Failed() <-chan struct{} { return o.done }

// Err is why the far end takes no more, nil while it does.
func (o *Writer) Err() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.err
}

// Close writes what is left, with a limit on the wait, and says what was lost.
func (o *Writer) Close() error {
	o.mu.Lock()
	o.closed = true
	o.mu.Unlock()
	select {
	case o.wake <- struct{}{}:
	default:
	}
	timer := time.NewTimer(closeMost)
	defer timer.Stop()
	select {
	case <-o.done:
	case <-timer.C:
		return errors.New("the reader of the output does not take it; the last lines were not printed")
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.err == nil && o.dropped > 0 {
		return fmt.Errorf("the reader of the output was too slow: %d times lines were left out of it (not of the run log)", o.dropped)
	}
	return o.err
}

func (o *Writer) run() {
	defer close(o.done)
	defer func() { // a fault of ours is told like one of the far end
		if r := recover(); r != nil {
			o.mu.Lock()
			defer o.mu.Unlock()
			o.err, o.queue = fault.Of("the output", r), nil
		}
	}()
	var out []byte
	for range o.wake {
		var closed bool
		out, closed = o.swap(out[:0])
		if _, err := o.w.Write(out); err != nil {
			o.mu.Lock()
			o.err, o.queue = err, nil
			o.mu.Unlock()
			return
		}
		if closed {
			return
		}
	}
}

// swap swaps the queue for an empty buffer.
func (o *Writer) swap(empty []byte) (queued []byte, closed bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	queued, o.queue = o.queue, empty
	return queued, o.closed
}
