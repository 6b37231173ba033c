package runlog

import (
	"errors"
	"fmt"
	"sync"
	"syscall"
	"time"
)

// Limits of the writer.
const (
	queueMost  = 4 << 20                // bytes kept in memory while the disk can't take them: half an hour at 50 Hz
	syncEvery  = time.Second            // longest time until what was appended is on the disk
	retryEvery = 250 * time.Millisecond // between attempts while the disk is in trouble
	closeMost  = 5 * time.Second        // how long Close tries to get the rest on the disk
)

// Writer appends frames to a run log. Append only puts bytes into memory; a
// goroutine writes them at once and has them on the disk within a second. It
// is safe for several goroutines.
type Writer struct {
	opened Opened
	wake   chan struct{}
	quit   chan struct{}
	done   chan struct{}

	mu     sync.Mutex
	queue  []byte // not taken by the goroutine yet
	spare  []byte
	held   int // bytes the goroutine has taken and not got onto the disk
	limit  int // most bytes in queue and held together
	closes time.Duration
	err    error // what is wrong with the disk now
	lost   uint64
	closed bool
	final  error // outcome, valid when done is closed

	disk disk // of the goroutine
}

// Opened says what opening found.
type Opened struct {
	Path     string
	Appended bool   // the log was there before
	Cut      int64  // bytes of an unfinished frame taken off its end
	TornFile string // where these bytes are kept
	Unlocked string // why the log could not be locked against a second writer, empty if it is
}

func newWriter(opened Opened, d disk) *Writer {
	return &Writer{opened: opened, disk: d, limit: queueMost, closes: closeMost,
		wake: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{})}
}

// Opened says what opening found.
func (w *Writer) Opened() Opened { return w.opened }

// Append adds whole frames, each with its delimiter. It copies them and never
// waits for the disk. ErrQueueFull, ErrNotFrames and ErrClosed mean that they
// are not recorded. Any other error says that the disk is in trouble: the
// frames are kept in memory and are written when it recovers.
func (w *Writer) Append(frames []byte) error {
	if len(frames) == 0 || frames[len(frames)-1] != 0 {
		return ErrNotFrames
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.closed {
		return ErrClosed
	}
	if len(w.queue)+w.held+len(frames) > w.limit {
		w.lost++
		return errors.Join(ErrQueueFull, w.err)
	}
	w.queue = append(w.queue, frames...)
	select {
	case w.wake <- struct{}{}:
	default: // it is awake already
	}
	return w.err
}

// Err says what is wrong with the disk, nil when nothing is.
func (w *Writer) Err() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.err
}

// Lost is how many calls of Append were refused because too much waits for the disk.
func (w *Writer) Lost() uint64 {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.lost
}

// Close writes what is left and closes the log. When the disk does not take it
// within seconds, the error says how many bytes are lost. A second Close gives
// the same answer.
func (w *Writer) Close() error {
	w.mu.Lock()
	if !w.closed {
		w.closed = true
		close(w.quit)
	}
	w.mu.Unlock()
	select {
	case <-w.done:
		return w.final
	case <-time.After(w.closes + 5*time.Second):
		return fmt.Errorf("%s: the disk does not answer; the last seconds of the log may be lost", w.opened.Path)
	}
}

// run is the goroutine that owns the disk.
func (w *Writer) run() {
	defer close(w.done)
	defer w.rescue()
	tick := time.NewTicker(retryEvery)
	defer tick.Stop()
	synced := time.Now()
	for {
		select {
		case <-w.wake:
		case <-tick.C:
		case <-w.quit:
			w.final = w.drain(tick.C)
			return
		}
		due := time.Since(synced) >= syncEvery-retryEvery
		if w.flush(due) == nil && due {
			synced = time.Now()
		}
		if w.Err() != nil {
			w.pause(tick.C) // frames that come meanwhile must not hurry the retries
		}
	}
}

// rescue turns a mistake of ours in the goroutine into an error of the log: the
// monitoring has to go on.
func (w *Writer) rescue() {
	p := recover()
	if p == nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.err = fmt.Errorf("%s: the run log's writer failed: %v; please report this", w.opened.Path, p)
	w.final = w.err
}

// pause waits for the next attempt, or for Close.
func (w *Writer) pause(tick <-chan time.Time) {
	select {
	case <-tick:
	case <-w.quit:
	}
}

// flush writes what is queued, and syncs it when that is due.
func (w *Writer) flush(sync bool) error {
	w.moveQueue()
	err := w.disk.write()
	if err == nil && sync {
		err = w.disk.sync()
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.held = len(w.disk.pending)
	w.err = w.explain(err)
	return err
}

// moveQueue moves the queue to the disk's pending bytes.
func (w *Writer) moveQueue() {
	w.mu.Lock()
	taken := w.queue
	w.queue, w.held = w.spare[:0], w.held+len(taken)
	w.mu.Unlock()
	w.disk.pending = append(w.disk.pending, taken...)
	w.spare = taken // only this goroutine touches spare
}

// drain gets the rest on the disk, for a limited time.
func (w *Writer) drain(tick <-chan time.Time) error {
	deadline := time.Now().Add(w.closes)
	err := w.flush(true)
	for err != nil && len(w.disk.pending) > 0 && time.Now().Before(deadline) {
		<-tick
		err = w.flush(true)
	}
	if n := len(w.disk.pending); err != nil && n > 0 {
		err = fmt.Errorf("%s: the last %d bytes could not be put on the disk: %w", w.opened.Path, n, err)
	} else {
		err = w.explain(err)
	}
	if w.disk.hurt != nil && err == nil {
		err = w.explain(w.disk.hurt)
	}
	return errors.Join(err, w.disk.close())
}

// explain says what is wrong with the disk and what to do.
func (w *Writer) explain(err error) error {
	var damage *DamageError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &damage), errors.Is(err, errRemoved):
		return &WriteError{File: w.opened.Path, What: "the run log was changed by somebody else", Err: err,
			Do: "let nothing else touch a log that is recorded"}
	case isFull(err):
		return &WriteError{File: w.opened.Path, What: notWritten, Err: err,
			Do: "the disk is full: free some space; recording goes on in memory until then"}
	}
	return &WriteError{File: w.opened.Path, What: notWritten, Err: err,
		Do: "check the disk; recording goes on in memory and is written when it works again"}
}

const notWritten = "the run log can't be written"

func isFull(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, errQuota) }

// Room is how many bytes the disk that the log lies on can still take. It asks
// the disk, which may be slow to answer.
func (w *Writer) Room() (free uint64, err error) { return FreeBytes(w.opened.Path) }
