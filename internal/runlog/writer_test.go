package runlog

import (
	"bytes"
	"errors"
	"os"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// Frames from several goroutines, over a time with a broken disk, are all in
// the log afterwards, each goroutine's in its order; the trouble shows in Err
// and goes away from it.
func TestWriterConcurrentOverTrouble(t *testing.T) {
	const writers, each = 4, 300
	w, m := memWriter(t, 1)
	go w.run()
	half := make(chan struct{})
	var started atomic.Int32
	var all sync.WaitGroup
	for k := range writers {
		all.Add(1)
		go func() {
			defer all.Done()
			for i := range each {
				if i == each/2 {
					started.Add(1)
					<-half
				}
				err := w.Append(wire.AppendSetRate(nil, uint8(k), wire.SetRate{RateMHz: uint32(i)}))
				must.Be(t, !errors.Is(err, ErrQueueFull) && !errors.Is(err, ErrClosed), "%v", err)
			}
		}()
	}
	must.Soon(t, "all are half way", func() bool { return started.Load() == writers })
	m.setFail(func(string) error { return syscall.ENOSPC })
	close(half)
	must.Soon(t, "the trouble shows", func() bool { return w.Err() != nil })
	err := w.Err()
	must.Be(t, errors.Is(err, syscall.ENOSPC), "Err %v", err)
	all.Wait()
	m.setFail(nil)
	must.Soon(t, "it recovers", func() bool { return w.Err() == nil })
	closeLog(t, w)
	next := make([]uint32, writers)
	for _, f := range frames(t, readerOf(t, m.content()))[1:] {
		var r wire.SetRate
		must.Do(t, wire.ParseSetRate(f.Body, &r))
		must.Need(t, r.RateMHz == next[f.Seq], "goroutine %d: frame %d after %d", f.Seq, r.RateMHz, next[f.Seq])
		next[f.Seq]++
	}
	for k, n := range next {
		must.Be(t, n == each, "goroutine %d: %d frames of %d", k, n, each)
	}
}

// A full queue costs frames but never waits and never grows; after recovery
// everything that was accepted is in the log, and Lost tells the rest.
func TestWriterQueueIsBounded(t *testing.T) {
	w, m := memWriter(t, 1)
	w.limit = 1000
	m.setFail(func(op string) error {
		if op == "write" {
			return errBroken
		}
		return nil
	})
	go w.run()
	frame := testFrames(1)[1]
	accepted := 0
	for i := range 200 {
		if i == 10 { // by now the goroutine holds the first ones
			must.Soon(t, "the trouble shows", func() bool { return errors.Is(w.Err(), errBroken) })
		}
		err := w.Append(frame)
		if !errors.Is(err, ErrQueueFull) {
			accepted++
		}
	}
	want := 1000 / len(frame)
	must.Be(t, accepted <= want && accepted >= want-1, "accepted %d frames, want about %d", accepted, want)
	must.Be(t, w.Lost() == uint64(200-accepted), "lost %d, want %d", w.Lost(), 200-accepted)
	m.setFail(nil)
	closeLog(t, w)
	got := bytes.Count(m.content(), frame)
	must.Be(t, got == accepted, "%d frames in the log, %d were accepted", got, accepted)
	err := w.Append(frame)
	must.Be(t, errors.Is(err, ErrClosed), "after Close: %v", err)
}

// Only whole frames go into a log.
func TestAppendRefusesHalves(t *testing.T) {
	w, _ := memWriter(t, 1)
	go w.run()
	frame := testFrames(1)[0]
	for _, b := range [][]byte{nil, frame[:len(frame)-1]} {
		err := w.Append(b)
		must.Be(t, errors.Is(err, ErrNotFrames), "Append(%x): %v", b, err)
	}
	closeLog(t, w)
	closeLog(t, w) // again: the same answer
}

// A panic of ours in the goroutine becomes an error of the log.
func TestWriterPanicIsAnError(t *testing.T) {
	w, m := memWriter(t, 1)
	m.setFail(func(string) error { panic("boom") })
	m.mu = sync.Mutex{}
	go func() { w.run() }()
	must.Do(t, w.Append(testFrames(1)[0]))
	must.Soon(t, "the panic shows", func() bool { return w.Err() != nil })
}

// What was appended is written at once: a reader of the growing file sees it
// without Close.
func TestWriterWritesAtOnce(t *testing.T) {
	path := t.TempDir() + "/a.run"
	w := open(t, path)
	all := testFrames(3)
	appendAll(t, w, all)
	must.Soon(t, "the frames are in the file", func() bool { return bytes.HasSuffix(read(t, path), bytes.Join(all, nil)) })
	must.Be(t, !w.Opened().Appended && w.Opened().Unlocked == "", "opened %+v", w.Opened())
	closeLog(t, w)
}

// Two writers can't share a log; when the first has closed it, the second may.
func TestWriterLock(t *testing.T) {
	path := t.TempDir() + "/a.run"
	w := open(t, path)
	_, err := OpenWriter(path, wire.LogStart{})
	must.Need(t, errors.Is(err, ErrLocked), "second writer: %v", err)
	closeLog(t, w)
	closeLog(t, open(t, path))
	got := frames(t, readerOf(t, read(t, path)))
	must.Be(t, len(got) == 2 && got[1].Type == wire.TypeLogStart, "frames %v, want two LogStarts", got)
}

// A log that is moved away while it is written is an error that shows by
// itself, and nothing of it is lost.
func TestWriterMovedLog(t *testing.T) {
	path := t.TempDir() + "/a.run"
	w := open(t, path)
	must.Do(t, os.Rename(path, path+".moved"))
	must.Soon(t, "it is noticed", func() bool { return w.Err() != nil })
	frame := testFrames(1)[1]
	err := w.Append(frame)
	must.Be(t, err != nil && !errors.Is(err, ErrQueueFull), "Append: %v", err)
	must.Soon(t, "it is written all the same", func() bool { return bytes.HasSuffix(read(t, path+".moved"), frame) })
	must.Do(t, os.Rename(path+".moved", path))
	must.Soon(t, "it is well again", func() bool { return w.Err() == nil })
	closeLog(t, w)
}

// What acquisition pays for a frame.
func BenchmarkAppend(b *testing.B) {
	w := must.Get(OpenWriter(b.TempDir()+"/a.run", wire.LogStart{}))(b)
	frame := testFrames(1)[1]
	b.SetBytes(int64(len(frame)))
	b.ReportAllocs()
	for b.Loop() {
		for errors.Is(w.Append(frame), ErrQueueFull) { // faster than any disk
			b.StopTimer()
			time.Sleep(10 * time.Millisecond)
			b.StartTimer()
		}
	}
	must.Do(b, w.Close())
}
