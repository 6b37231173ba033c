package session

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"fillwright/internal/wire"
)

// logWriter puts frames into the log from a goroutine of its own, in order. Its
// queue is bounded; what does not fit is counted and told.
type logWriter struct {
	log   Log // nil: nothing is recorded
	clock Clock
	queue chan []byte
	done  chan struct{}
	final error // of the log's Close, valid when done is closed
	loop  *loop

	mu      sync.Mutex
	busy    time.Time      // since when the present Append lasts; zero: none
	trouble error          // what the log last said
	missing uint64         // frames that found the queue full
	over    bool           // the queue was full and has not been empty since
	room    wire.LinkState // LinkLogRoom or LinkLogTight; 0: not known
	free    uint64         // bytes, when room was measured
	roomAt  time.Time
}

// roomy is a Log that knows how much room its disk has; *runlog.Writer does.
type roomy interface {
	Room() (free uint64, err error)
}

const (
	roomEvery = time.Minute
	roomLeast = 64 << 20 // bytes: some six hours at 50 Hz
)

// stuckAfter is how long one Append may last before the log counts as lost.
const stuckAfter = time.Second

func startLogWriter(s *Session) *logWriter {
	k := &logWriter{log: s.cfg.Log, clock: s.cfg.Clock, queue: make(chan []byte, inputsMost), done: make(chan struct{})}
	if k.log == nil {
		close(k.done)
		return k
	}
	go func() {
		defer close(k.done)
		defer s.guard("closing the run log", func() { k.final = k.log.Close() })
		s.guard("the run log", k.run)
	}()
	return k
}

func (k *logWriter) run() {
	for frame := range k.queue {
		k.begin()
		err := k.log.Append(frame)
		if err == nil {
			err = k.log.Err()
		}
		k.end(err)
		k.measure()
	}
}

// measure looks at the disk now and then, from the log's own goroutine: a disk
// that does not answer holds nothing else up.
func (k *logWriter) measure() {
	log, ok := k.log.(roomy)
	now := k.clock.Now()
	if !ok || !k.roomAt.IsZero() && now.Sub(k.roomAt) < roomEvery {
		return
	}
	k.begin()
	free, err := log.Room()
	k.mu.Lock()
	defer k.mu.Unlock()
	k.busy, k.roomAt = time.Time{}, now
	switch {
	case err != nil:
		k.room = 0 // not every system tells
	case free < roomLeast:
		k.room, k.free = wire.LinkLogTight, free
	default:
		k.room, k.free = wire.LinkLogRoom, free
	}
}

// roomNow is what is known of the disk's room; 0: nothing.
func (k *logWriter) roomNow() (wire.LinkState, uint64) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.room, k.free
}

func (k *logWriter) begin() {
	now := k.clock.Now()
	k.mu.Lock()
	defer k.mu.Unlock()
	k.busy = now
}

func (k *logWriter) end(err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.busy, k.trouble = time.Time{}, err
	if len(k.queue) == 0 {
		k.over = false
	}
}

// put queues a copy of frame and never blocks.
func (k *logWriter) put(frame []byte) {
	if k.log == nil {
		return
	}
	select {
	case k.queue <- append([]byte(nil), frame...):
	default:
		k.mu.Lock()
		defer k.mu.Unlock()
		k.missing++
		k.over = true
	}
}

// problem is what keeps the log from being written, nil when nothing does.
func (k *logWriter) problem(now time.Time) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	switch {
	case !k.busy.IsZero() && now.Sub(k.busy) > stuckAfter:
		return fmt.Errorf("the disk has not answered for %.0f s", now.Sub(k.busy).Seconds())
	case k.over:
		return fmt.Errorf("%d inputs could not be recorded so far", k.missing)
	}
	return k.trouble
}

// lost is how many inputs are missing from the log: those that found this queue full,
// and those that the log itself had no more room for while its disk was full.
func (k *logWriter) lost() uint64 {
	if k.log == nil {
		return 0
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.missing + k.log.Lost()
}

// close ends the queue and waits for the log for a limited time. No put may
// come after it.
func (k *logWriter) close(most time.Duration) error {
	close(k.queue)
	timer := time.NewTimer(most)
	defer timer.Stop()
	select {
	case <-k.done:
	case <-timer.C:
		return fmt.Errorf("the run log could not be finished within %v: the disk does not answer; its end may be missing", most)
	}
	var gap error
	if n := k.lost(); n > 0 {
		gap = fmt.Errorf("%d inputs are missing from the run log: the disk was full or too slow", n)
	}
	return errors.Join(k.final, gap)
}
