//go:build unix

package logger

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"fillwright/internal/must"
)

// A receiver that does not come costs the oldest bytes, a bounded memory and
// a word about it; the reading goes on and the newest bytes are there.
func TestSlowReceiverLosesOldestAndIsTold(t *testing.T) {
	src := &scripted{}
	for i := range 2000 {
		src.chunks = append(src.chunks, []byte(fmt.Sprintf("chunk %04d;", i)))
	}
	l := start(t, Config{Opener: src, QueueMost: 10_000})
	must.Soon(t, "all was read though nobody received", func() bool { return src.left() == 0 })
	var got []byte
	dropped := 0
	for !bytes.HasSuffix(got, []byte("chunk 1999;")) {
		switch ev := next(t, l); ev.Kind {
		case Bytes:
			got = append(got, ev.Data...)
		case Trouble:
			n := 0
			_, err := fmt.Sscanf(ev.Text, "overrun: %d bytes", &n)
			must.Need(t, err == nil, "trouble %q: %v", ev.Text, err)
			dropped += n
		}
	}
	all := 2000 * len("chunk 0000;")
	must.Be(t, dropped != 0 && dropped+len(got) == all, "%d received, %d dropped, %d sent", len(got), dropped, all)
	must.Be(t, len(got) <= 10_000+3*chunkMost, "%d bytes were kept, the limit is 10000", len(got))
}

// The queue never holds more than its limits, and the last state told is the
// last that was.
func TestQueueBounds(t *testing.T) {
	q := newQueue(5000)
	for i := range 1000 {
		q.putBytes(make([]byte, 1+i%700), time.Unix(int64(i), 0))
		q.putNote(Event{Kind: Up, Text: fmt.Sprint(i)})
		must.Need(t, q.bytes <= 5000 && q.notes <= notesMost && len(q.events) <= notesMost+5000,
			"round %d: %d bytes, %d notes, %d events", i, q.bytes, q.notes, len(q.events))
	}
	q.close()
	last := ""
	for {
		ev, ok := q.wait(context.Background())
		if !ok {
			break
		}
		if ev.Kind == Up {
			last = ev.Text
		}
	}
	must.Be(t, last == "999" && q.bytes == 0 && q.notes == 0, "last note %q, %d bytes and %d notes left", last, q.bytes, q.notes)
}

// A link that dies right after each opening is retried with growing waits.
func TestBackoffGrowsAndIsBounded(t *testing.T) {
	src := &scripted{failReads: true}
	l := start(t, Config{Opener: src, BackoffLeast: time.Millisecond, BackoffMost: 16 * time.Millisecond})
	for range 10 {
		wantKind(t, l, Up)
		wantKind(t, l, Down)
	}
	waits := src.waits()
	must.Be(t, waits[0] < 16*time.Millisecond*50 && waits[8] >= 16*time.Millisecond, "waits %v", waits)
}

// A panic inside ends the stream with an error instead of the program.
func TestPanicBecomesError(t *testing.T) {
	src := &scripted{panics: true}
	l := must.Get(Open(context.Background(), Config{Opener: src}))(t)
	for range l.Events() { // until it ends
	}
	err := l.Close()
	must.Need(t, err != nil && strings.Contains(err.Error(), "on purpose"), "the panic is hidden: %v", err)
}

// The end of the context ends the stream, whatever waits in it.
func TestContextEnds(t *testing.T) {
	src := &scripted{chunks: [][]byte{{1}, {2}, {3}}}
	ctx, cancel := context.WithCancel(context.Background())
	l := must.Get(Open(ctx, Config{Opener: src}))(t)
	cancel()
	for range l.Events() { // until it ends
	}
	must.Do(t, l.Close())
	must.Be(t, src.allClosed(), "the cable was left open")
}

func TestShort(t *testing.T) {
	for want, err := range map[string]error{
		"the other side hung up":     io.EOF,
		"one":                        errors.New("one\ntwo"),
		"p: this is not a port":      &OpenError{Name: "p", Detail: "this is not a port", Hints: []string{"x"}},
		"q: wrapped but still short": fmt.Errorf("w: %w", &OpenError{Name: "q", Detail: "wrapped but still short"}),
	} {
		must.Equal(t, Short(err), want, "Short")
	}
}

func BenchmarkQueue(b *testing.B) {
	q := newQueue(1 << 20)
	p := make([]byte, 40)
	at := time.Unix(0, 0)
	b.ReportAllocs()
	b.SetBytes(int64(len(p)))
	for b.Loop() {
		q.putBytes(p, at)
		_, ok := q.wait(context.Background())
		must.Need(b, ok, "empty")
	}
}
