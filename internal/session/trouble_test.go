package session

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// A log that hangs, and then a subscriber that never looks, hold nothing up:
// frames go on to the stepper, the loss of the log is an input, and so is
// its return.
func TestStuckLogAndSubscriber(t *testing.T) {
	hold := make(chan struct{})
	r := newRig(t, nil)
	r.log.hold = hold
	never := r.s.Notify()
	r.run()
	r.cable.bytes(hello())
	for i := range 200 {
		r.cable.bytes(sample(uint8(i + 1)))
		r.clock.pass(t, tickEvery)
	}
	got := len(r.stepper.of(wire.TypeSample))
	must.Need(t, got == 200, "%d samples of 200 used while the log hangs", got)
	links := r.stepper.of(wire.TypeLink)
	must.Need(t, len(links) == 1 && parseLink(t, links[0]).State == wire.LinkLogLost, "the hanging log was told %d times", len(links))
	must.Be(t, len(never) == 1, "%d notices wait for the subscriber", len(never))
	r.log.set(func() { r.log.hold = nil })
	close(hold)
	must.Soon(t, "the log is back", func() bool {
		r.clock.pass(t, tickEvery)
		links := r.stepper.of(wire.TypeLink)
		return parseLink(t, links[len(links)-1]).State == wire.LinkLogBack
	})
	must.Do(t, r.end())
	wantSame(t, r.stepper.got(), r.log.frames())
}

// A full disk is an input with its reason, and the watching goes on.
func TestFullDisk(t *testing.T) {
	r := newRig(t, nil).run()
	r.cable.bytes(hello())
	r.log.set(func() { r.log.err = errors.New("no space left on device") })
	r.cable.bytes(sample(1))
	must.Soon(t, "the full disk is told", func() bool {
		r.clock.pass(t, tickEvery)
		links := r.stepper.of(wire.TypeLink)
		return len(links) == 1 && parseLink(t, links[0]) == wire.Link{State: wire.LinkLogLost, Text: "no space left on device"}
	})
	r.cable.bytes(sample(2))
	r.log.set(func() { r.log.err = nil })
	must.Soon(t, "the log is back", func() bool {
		r.clock.pass(t, tickEvery)
		return len(r.stepper.of(wire.TypeLink)) == 2
	})
	must.Do(t, r.end())
	got := len(r.stepper.of(wire.TypeSample))
	must.Be(t, got == 2, "%d samples used", got)
}

// What a log refuses, because its disk was full for too long, is counted: it is told
// when the log is back, and is an error at the end.
func TestRefusedInputsAreCounted(t *testing.T) {
	r := newRig(t, nil).run()
	r.cable.bytes(hello())
	last := func() (l wire.Link) {
		r.clock.pass(t, tickEvery)
		if links := r.stepper.of(wire.TypeLink); len(links) > 0 {
			l = parseLink(t, links[len(links)-1])
		}
		return l
	}
	r.log.set(func() { r.log.full = true })
	r.cable.bytes(sample(1))
	must.Soon(t, "the loss is told", func() bool { return last().State == wire.LinkLogLost })
	r.log.set(func() { r.log.full = false })
	r.cable.bytes(sample(2))
	must.Soon(t, "the log is back", func() bool { return last().State == wire.LinkLogBack })
	err, text := r.end(), parseLink(t, r.stepper.of(wire.TypeLink)[1]).Text
	var told, missing int
	_, toldErr := fmt.Sscanf(text, "the run log is written again; %d inputs are missing from it", &told)
	must.Need(t, err != nil && toldErr == nil, "%v, %q", err, text)
	_, endErr := fmt.Sscanf(err.Error(), "%d inputs are missing from the run log", &missing)
	must.Be(t, endErr == nil && told >= 1 && missing >= told && len(r.stepper.got()) == len(r.log.frames())+missing,
		"%q, %v: %d inputs, %d recorded", text, err, len(r.stepper.got()), len(r.log.frames()))
}

// More than the queue holds is counted, told and an error at the end; memory
// stays bounded.
func TestLogQueueOverflowIsCounted(t *testing.T) {
	hold := make(chan struct{})
	r := newRig(t, nil)
	r.log.hold = hold
	r.run()
	r.cable.bytes(hello())
	burst := []byte{}
	for i := range inputsMost + 500 {
		burst = append(burst, sample(uint8(i+1))...)
	}
	r.cable.bytes(burst)
	must.Soon(t, "the loss is told", func() bool {
		r.clock.pass(t, tickEvery)
		return len(r.stepper.of(wire.TypeLink)) > 0
	})
	links := r.stepper.of(wire.TypeLink)
	must.Need(t, len(links) == 1 && strings.Contains(parseLink(t, links[0]).Text, "could not be recorded"), "told %d times", len(links))
	close(hold)
	err := r.end()
	must.Be(t, err != nil && strings.Contains(err.Error(), "missing from the run log"), "the end hides the gap: %v", err)
	steps, kept := len(r.stepper.got()), len(r.log.frames())
	var missing int
	_, scanErr := fmt.Sscanf(err.Error(), "%d inputs", &missing)
	must.Be(t, scanErr == nil && missing >= 499 && kept+missing == steps, "%d inputs, %d recorded, error %v", steps, kept, err)
}

// A log that never answers does not hold up the end for ever.
func TestStuckLogAtTheEnd(t *testing.T) {
	r := newRig(t, func(c *Config) { c.CloseMost = 20 * time.Millisecond })
	r.log.hold = make(chan struct{})
	r.run()
	r.cable.bytes(hello())
	must.Refuse(t, r.end(), "could not be finished")
}

// Entries that were taken are all recorded and used, in order, though the
// session ends at once; what is refused says why.
func TestEveryEntryIsRecorded(t *testing.T) {
	r := newRig(t, nil)
	for i := range entriesMost {
		must.Do(t, r.s.Entry(wire.Entry{Kind: wire.EntrySurface, Station: 1, Value: int32(40000 + i)}))
	}
	err := r.s.Entry(wire.Entry{Kind: wire.EntryMark})
	must.Be(t, errors.Is(err, ErrTooMany), "one more: %v", err)
	for _, bad := range []wire.Entry{{}, {Kind: 99}, {Kind: wire.EntryMark, Text: strings.Repeat("x", wire.EntryTextMost+1)},
		{Kind: wire.EntryMark, Text: "\xff"}} {
		err := r.s.Entry(bad)
		must.Be(t, errors.Is(err, ErrBadEntry), "entry %+v: %v", bad, err)
	}
	r.run()
	must.Do(t, r.end())
	for i, f := range r.stepper.of(wire.TypeEntry) {
		var e wire.Entry
		err := wire.ParseEntry(f.Body, &e)
		must.Need(t, err == nil && e.Value == int32(40000+i), "entry %d: %+v, %v", i, e, err)
	}
	got := len(r.stepper.of(wire.TypeEntry))
	must.Be(t, got == entriesMost, "%d entries of %d used", got, entriesMost)
	wantSame(t, r.stepper.got(), r.log.frames())
}

// A replay of the log gives a second stepper the same inputs and the same
// Snapshots, whatever happened: a naive mix of everything, by seed.
func TestReplayEqualsLive(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		r := newRig(t, func(c *Config) { c.Texts.Profile = string(make([]byte, rng.IntN(2000))) }).run()
		r.cable.bytes(hello())
		seq := uint8(0)
		for range 300 {
			switch rng.IntN(8) {
			case 0:
				r.clock.pass(t, tickEvery*time.Duration(rng.IntN(20)))
			case 1:
				r.cable.say(logger.Event{Kind: logger.Down, Text: strings.Repeat("ü", rng.IntN(100))})
			case 2:
				r.cable.say(logger.Event{Kind: logger.Up, Text: "up"})
			case 3:
				err := r.s.Entry(wire.Entry{Kind: wire.EntryMark, Text: "mark"})
				must.Need(t, err == nil || errors.Is(err, ErrTooMany), "%v", err)
			case 4: // cut, repeated and lost frames
				p := sample(seq)
				r.cable.bytes(append(p[:rng.IntN(len(p))], append(sample(seq), sample(seq)...)...))
				seq += uint8(rng.IntN(4))
			default:
				seq++
				r.cable.bytes(sample(seq))
			}
		}
		must.Do(t, r.end())
		second := &countStepper{}
		var last monitor.Snapshot
		for _, f := range r.log.frames() {
			last = second.Step(f)
		}
		wantSame(t, r.stepper.got(), second.got())
		live := r.s.Latest()
		must.Need(t, live.Seq == last.Seq && live.GasMassKg == last.GasMassKg, "seed %d: live ends with %d, replay with %d", seed, live.Seq, last.Seq)
	}
}

// A panic below the session, wherever, comes back as an error of Run, the
// log is closed and entries still in the queue are recorded.
func TestPanicsComeBackAsErrors(t *testing.T) {
	t.Run("stepper", func(t *testing.T) {
		r := newRig(t, nil)
		r.stepper.before = func(f wire.Frame) {
			if f.Type == wire.TypeSample {
				panic("the stepper panics on purpose")
			}
		}
		r.run()
		r.cable.bytes(hello())
		r.cable.bytes(sample(1))
		err := r.wait()
		must.Be(t, err != nil && strings.Contains(err.Error(), "the stepper panics on purpose"), "Run: %v", err)
		got := r.log.frames()
		must.Be(t, r.log.closed && got[len(got)-1].Type == wire.TypeSample,
			"the input that broke it is not in the log: %s, closed %v", types(got), r.log.closed)
	})
	t.Run("log", func(t *testing.T) {
		r := newRig(t, nil)
		r.log.panics = true
		r.run()
		must.Refuse(t, r.wait(), "the log panics on purpose")
	})
	t.Run("entries after a failure", func(t *testing.T) {
		r := newRig(t, nil)
		r.stepper.before = func(wire.Frame) { panic("at once") }
		for range 3 {
			must.Do(t, r.s.Entry(wire.Entry{Kind: wire.EntryMark}))
		}
		r.run()
		err := r.wait()
		must.Be(t, err != nil, "no error")
		n := 0
		for _, f := range r.log.frames() {
			if f.Type == wire.TypeEntry {
				n++
			}
		}
		must.Be(t, n == 3, "%d entries of 3 in the log", n)
	})
}

// The end of the cable ends Run; its error is Run's.
func TestCableEnds(t *testing.T) {
	for _, want := range []error{nil, errors.New("internal failure below")} {
		r := newRig(t, nil)
		r.cable.err = want
		notify := r.s.Notify()
		r.run()
		r.cable.bytes(hello())
		close(r.cable.events)
		err := r.wait()
		must.Be(t, errors.Is(err, want) && (want == nil) == (err == nil), "Run: %v, want %v", err, want)
		select {
		case <-notify:
		default:
			t.Error("the end was not told")
		}
		<-r.s.Done()
		must.Be(t, r.s.Latest().Seq != 0, "no snapshot")
	}
}

// Many readers and writers at once, for the race detector.
func TestConcurrentUse(t *testing.T) {
	r := newRig(t, nil).run()
	stop := make(chan struct{})
	var users sync.WaitGroup
	for range 4 {
		users.Add(1)
		go func() {
			defer users.Done()
			for last, entries := uint64(0), 0; ; entries++ {
				select {
				case <-r.s.Notify():
				case <-stop:
					return
				}
				if s := r.s.Latest(); s.Seq < last {
					t.Errorf("snapshot %d after %d", s.Seq, last)
				} else {
					last = s.Seq
				}
				if entries > 200 {
					continue // an entry makes a Snapshot: without an end this would feed itself
				}
				if err := r.s.Entry(wire.Entry{Kind: wire.EntryUndo}); err != nil && !errors.Is(err, ErrTooMany) && !errors.Is(err, ErrEnded) {
					t.Error(err)
				}
			}
		}()
	}
	r.cable.bytes(hello())
	for i := range 300 {
		r.cable.bytes(sample(uint8(i)))
		r.clock.pass(t, tickEvery)
	}
	close(stop)
	users.Wait()
	must.Do(t, r.end())
	wantSame(t, r.stepper.got(), r.log.frames())
}

// What one sample costs the loop, from bytes to the published Snapshot, less
// the monitor's own work.
func BenchmarkSample(b *testing.B) {
	s := must.Get(New(Config{Cable: &scriptCable{}, Stepper: &countOnly{}, Log: &memoryNone{}}))(b)
	k := startLogWriter(s)
	l := newLoop(s, k)
	l.event(logger.Event{Kind: logger.Bytes, Data: hello()})
	i := uint8(0)
	b.ReportAllocs()
	for b.Loop() {
		i++
		l.event(logger.Event{Kind: logger.Bytes, Data: sample(i)})
	}
	if err := k.close(time.Minute); err != nil && !strings.Contains(err.Error(), "missing") {
		b.Fatal(err)
	}
	must.Need(b, s.Latest().Seq >= uint64(b.N), "%d steps of %d", s.Latest().Seq, b.N)
}

type countOnly struct{ n uint64 }

func (c *countOnly) Step(wire.Frame) monitor.Snapshot { c.n++; return monitor.Snapshot{Seq: c.n} }

type memoryNone struct{}

func (memoryNone) Append([]byte) error { return nil }
func (memoryNone) Err() error          { return nil }
func (memoryNone) Lost() uint64        { return 0 }
func (memoryNone) Close() error        { return nil }
