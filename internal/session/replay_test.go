package session

import (
	"context"
	"errors"
	"io"
	"math"
	"testing"
	"time"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// framesSource gives frames, then io.EOF.
type framesSource struct{ frames []wire.Frame }

func (s *framesSource) Next() (wire.Frame, error) {
	if len(s.frames) == 0 {
		return wire.Frame{}, io.EOF
	}
	f := s.frames[0]
	s.frames = s.frames[1:]
	return f, nil
}

// partStepper counts its inputs; each sample is a second after the last.
type partStepper struct{ n, samples int }

func (c *partStepper) Step(f wire.Frame) monitor.Snapshot {
	c.n++
	if f.Type == wire.TypeSample {
		c.samples++
	}
	s := monitor.Unknown()
	s.Seq, s.TimeS = uint64(c.n), float64(c.samples)
	return s
}

func frames(types ...wire.Type) *framesSource {
	s := &framesSource{}
	for i, t := range types {
		s.frames = append(s.frames, wire.Frame{Type: t, Seq: uint8(i)})
	}
	return s
}

// A recording that was appended to begins a new Stepper at each LogStart but
// the first, as the live sessions did, and every input is seen in its order.
func TestReplayBeginsEachPart(t *testing.T) {
	begun := 0
	var seen []uint64
	r := must.Get(NewReplay(ReplayConfig{
		Source: frames(wire.TypeLogStart, wire.TypeSample, wire.TypeSample, wire.TypeLogStart, wire.TypeSample),
		Begin:  func() (Stepper, error) { begun++; return &partStepper{}, nil },
		Seen:   func(_ wire.Frame, s *monitor.Snapshot) error { seen = append(seen, s.Seq); return nil },
		Speed:  math.Inf(1),
	}))(t)
	must.Do(t, r.Run(t.Context()))
	want := []uint64{1, 2, 3, 1, 2}
	must.Be(t, begun == 2 && len(seen) == len(want) && seen[2] == 3 && seen[3] == 1, "begun %d times, seen %v, want 2 and %v", begun, seen, want)
	p := r.Position()
	must.Be(t, p.Ended && p.TimeS == 1, "position %+v", p)
	err := r.Entry(wire.Entry{})
	must.Be(t, errors.Is(err, ErrReplay), "a recording took an entry: %v", err)
}

// A paused replay lets nothing through but single steps, and goes on when it is
// let; the end of its context ends it.
func TestReplayPauseAndStep(t *testing.T) {
	at := make(chan uint64, 16)
	r := must.Get(NewReplay(ReplayConfig{
		Source: frames(wire.TypeSample, wire.TypeSample, wire.TypeSample, wire.TypeSample),
		Begin:  func() (Stepper, error) { return &partStepper{}, nil },
		Seen:   func(_ wire.Frame, s *monitor.Snapshot) error { at <- s.Seq; return nil },
	}))(t)
	r.Pause(true)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- r.Run(ctx) }()
	r.Step()
	got := must.Comes(t, "an input is seen", at)
	must.Need(t, got == 1, "the first step gave input %d", got)
	select {
	case got := <-at:
		t.Fatalf("input %d came while paused", got)
	case <-time.After(50 * time.Millisecond):
	}
	r.Speed(math.Inf(1))
	r.Pause(false)
	for want := uint64(2); want <= 4; want++ {
		got := must.Comes(t, "an input is seen", at)
		must.Need(t, got == want, "got input %d, want %d", got, want)
	}
	cancel()
	err := <-done
	must.Be(t, err == nil || errors.Is(err, context.Canceled), "%v", err)
}

// pacedClock stands still but for what a test adds.
type pacedClock struct{ now time.Time }

func (c *pacedClock) Now() time.Time { return c.now }
func (c *pacedClock) Tick(time.Duration) (<-chan time.Time, func()) {
	return make(chan time.Time), func() {}
}

// The pace is session time over speed: at double speed the sample at 3 s is due
// 1.5 s after the start, and a new speed counts from where the replay stands.
func TestReplayPace(t *testing.T) {
	clock := &pacedClock{now: time.Unix(1e9, 0)}
	r := must.Get(NewReplay(ReplayConfig{Source: frames(), Begin: func() (Stepper, error) { return &partStepper{}, nil }, Clock: clock, Speed: 2}))(t)
	p := pacer{r: r}
	due := func(timeS, wantS float64) {
		t.Helper()
		left, _ := p.due(timeS)
		must.Be(t, math.Abs(left.Seconds()-wantS) <= 1e-9, "%g s is due in %v, want %g s", timeS, left, wantS)
	}
	due(3, 1.5)
	clock.now = clock.now.Add(time.Second)
	due(3, 0.5)
	p.lastS = 2
	r.Speed(1)
	due(3, 1)
	r.Speed(math.Inf(1))
	due(1e6, 0)
	r.Speed(0)
	due(3, 1)
}

// WithoutSurface leaves out hand-held readings and their undoing, nothing else.
func TestWithoutSurface(t *testing.T) {
	var dec wire.Decoder
	dec.Aligned = true
	src := &framesSource{}
	var raw []byte
	for i, k := range []wire.EntryKind{wire.EntryMark, wire.EntrySurface, wire.EntryUndo, wire.EntryTarget} {
		raw = wire.AppendEntry(raw, uint8(i), wire.Entry{Kind: k})
	}
	dec.Decode(raw, func(f wire.Frame) { src.frames = append(src.frames, f.Clone()) })
	src.frames = append(src.frames, wire.Frame{Type: wire.TypeSample, Seq: 9})
	var got []uint8
	for w := WithoutSurface(src); ; {
		f, err := w.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		got = append(got, f.Seq)
	}
	must.Be(t, len(got) == 3 && got[0] == 0 && got[1] == 3 && got[2] == 9, "frames %v passed, want 0, 3 and 9", got)
}

// A Listener keeps the newest advice and ends its Read with Close.
func TestListener(t *testing.T) {
	l := NewListener(&partStepper{})
	if n, err := l.Write(wire.AppendPing([]byte{0}, 1, wire.Ping{})); err != nil || n == 0 {
		t.Fatal(n, err)
	}
	a := l.Advice()
	must.Be(t, !a.Reason.Empty() && math.IsNaN(a.RampPaS), "advice %+v", a)
	read := make(chan error, 1)
	go func() { _, err := l.Read(make([]byte, 1)); read <- err }()
	must.Do(t, errors.Join(l.Close(), l.Close()))
	must.Equal(t, <-read, io.EOF, "Read ended with")
	_, err := l.Write([]byte{0})
	must.Be(t, err != nil, "a closed Listener still listens")
}

// eventStepper makes an event at some inputs.
type eventStepper struct {
	partStepper
	at    map[uint64]bool
	count uint64
}

func (e *eventStepper) Step(f wire.Frame) monitor.Snapshot {
	s := e.partStepper.Step(f)
	if e.at[s.Seq] {
		e.count++
	}
	s.EventCount = e.count
	return s
}

// Next goes to the next event and stays there when the replay is paused.
func TestReplayNext(t *testing.T) {
	at := make(chan uint64, 16)
	r := must.Get(NewReplay(ReplayConfig{
		Source: frames(wire.TypeSample, wire.TypeSample, wire.TypeSample, wire.TypeSample, wire.TypeSample, wire.TypeSample),
		Begin:  func() (Stepper, error) { return &eventStepper{at: map[uint64]bool{3: true, 5: true}}, nil },
		Seen:   func(_ wire.Frame, s *monitor.Snapshot) error { at <- s.Seq; return nil },
	}))(t)
	r.Pause(true)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- r.Run(ctx) }()
	for _, last := range []uint64{3, 5} {
		r.Next()
		for got := uint64(0); got < last; {
			got = must.Comes(t, "an input is seen", at)
		}
		select {
		case got := <-at:
			t.Fatalf("input %d came after the event at %d", got, last)
		case <-time.After(50 * time.Millisecond):
		}
	}
	cancel()
	err := <-done
	must.Be(t, err == nil || errors.Is(err, context.Canceled), "%v", err)
}
