package logger

import (
	"context"
	"fmt"
	"sync"
	"time"
)

// Limits of the queue besides its bytes.
const (
	chunkMost = 4096 // bytes joined into one event
	notesMost = 64   // Up, Down and Trouble events kept for a slow receiver
)

// queue keeps events for a receiver that may be slow. It holds a bounded
// number of bytes. When it is full the oldest bytes go, for the newest are what
// can still warn somebody; the loss is counted and told.
type queue struct {
	mu      sync.Mutex
	events  []Event // oldest first
	bytes   int     // in events
	notes   int     // events that are not Bytes
	dropped uint64  // bytes thrown away and not yet told
	lastAt  time.Time
	most    int
	closed  bool
	filled  chan struct{} // something was put, or the queue was closed
}

func newQueue(most int) *queue {
	return &queue{most: most, filled: make(chan struct{}, 1)}
}

// putBytes copies p. It never blocks.
func (q *queue) putBytes(p []byte, at time.Time) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.lastAt = at
	q.add(p, at)
	for q.bytes > q.most && q.dropOldestBytes() {
	}
	wake(q.filled)
}

// add joins p to the newest event where that is Bytes and has room, so that
// a slow receiver costs few allocations. An event keeps the time of its
// newest byte.
func (q *queue) add(p []byte, at time.Time) {
	q.bytes += len(p)
	if n := len(q.events); n > 0 {
		last := &q.events[n-1]
		if last.Kind == Bytes && len(last.Data)+len(p) <= chunkMost {
			last.Data = append(last.Data, p...)
			last.At = at
			return
		}
	}
	q.events = append(q.events, Event{Kind: Bytes, Data: append([]byte(nil), p...), At: at})
}

func (q *queue) dropOldestBytes() bool {
	for i := range q.events {
		if q.events[i].Kind == Bytes {
			q.bytes -= len(q.events[i].Data)
			q.dropped += uint64(len(q.events[i].Data))
			q.remove(i)
			return true
		}
	}
	return false
}

// putNote never blocks. When too many notes wait, the oldest goes: the
// newest state of the cable is always the last that is told.
func (q *queue) putNote(ev Event) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.notes >= notesMost {
		for i := range q.events {
			if q.events[i].Kind != Bytes {
				q.remove(i)
				q.notes--
				break
			}
		}
	}
	q.notes++
	q.events = append(q.events, ev)
	wake(q.filled)
}

func (q *queue) remove(i int) {
	copy(q.events[i:], q.events[i+1:])
	q.events[len(q.events)-1] = Event{}
	q.events = q.events[:len(q.events)-1]
}

// wait waits for the next event; false means that there is none and never
// will be, or that ctx has ended.
func (q *queue) wait(ctx context.Context) (Event, bool) {
	for {
		ev, ok, closed := q.next()
		if ok {
			return ev, true
		}
		if closed {
			return Event{}, false
		}
		select {
		case <-q.filled:
		case <-ctx.Done():
			return Event{}, false
		}
	}
}

func (q *queue) next() (ev Event, ok, closed bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.dropped > 0 {
		ev = Event{Kind: Trouble, At: q.lastAt,
			Text: fmt.Sprintf("overrun: %d bytes of the logger were thrown away because this computer was too slow", q.dropped)}
		q.dropped = 0
		return ev, true, false
	}
	if len(q.events) == 0 {
		return Event{}, false, q.closed
	}
	ev = q.events[0]
	q.remove(0)
	if ev.Kind == Bytes {
		q.bytes -= len(ev.Data)
	} else {
		q.notes--
	}
	return ev, true, false
}

func (q *queue) close() {
	q.mu.Lock()
	q.closed = true
	q.mu.Unlock()
	wake(q.filled)
}

func wake(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}
