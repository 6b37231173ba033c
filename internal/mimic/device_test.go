package mimic

import (
	"bytes"
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The frames are those of the protocol: hello at the start and every 5 s,
// samples at the nominal rate with device time, no gap in the numbering.
func TestDeviceSpeaksTheProtocol(t *testing.T) {
	p := vessel.Invented()
	list, counts := frames(t, p, calm(), Options{ForS: 21, Seed: 2})
	must.Need(t, list[0].Type == wire.TypeHello, "the first frame is %v", list[0].Type)
	must.Be(t, counts.Lost+counts.Damaged+counts.Repeated+counts.Oversize == 0, "a good cable harmed frames: %+v", counts)
	all := hellos(t, list)
	must.Be(t, len(all) == 5, "%d hellos in 21 s, want 5", len(all))
	h := all[0]
	must.Be(t, h.Protocol == wire.Version && h.N == len(p.Channels) && h.RateMHz == 20000 && h.Board != 0 && h.Restart == wire.RestartPower,
		"hello %+v", h)
	must.Be(t, h.Channels[0].Kind == wire.KindCounts && h.Channels[0].Scale == 4095 && h.Channels[2].Label == wire.MakeLabel("wall-sun"),
		"channels %+v", h.Channels[:h.N])
	s := samples(t, list)
	must.Be(t, len(s) == 421, "%d samples in 21 s at 20 Hz, want 421", len(s))
	for i := range s {
		must.Need(t, s[i].TimeMS == uint32(50*i) && s[i].N == h.N, "sample %d at %d ms with %d values", i, s[i].TimeMS, s[i].N)
	}
}

// The bytes depend on the seed and on nothing else.
func TestBytesAreReproducible(t *testing.T) {
	bytesOf := func(seed uint64) []byte {
		var out bytes.Buffer
		o := Options{Seed: seed, ForS: 15, Cable: Cable{Lost: 0.02, Flipped: 0.02, Repeated: 0.02}}
		must.Do(t, Record(vessel.Invented(), calm(), o, func(b []byte) error { _, err := out.Write(b); return err }, nil))
		return out.Bytes()
	}
	a, b, c := bytesOf(1), bytesOf(1), bytesOf(2)
	if !bytes.Equal(a, b) || bytes.Equal(a, c) || len(a) < 10000 {
		t.Errorf("same seed equal %v, other seed equal %v, %d bytes", bytes.Equal(a, b), bytes.Equal(a, c), len(a))
	}
}

// Host's requests: hello, another rate, ping. Nonsense is not obeyed.
func TestDeviceObeysHosts(t *testing.T) {
	d := must.Get(NewDevice(vessel.Invented(), calm(), Options{}))(t)
	var dec wire.Decoder
	dec.Aligned = true
	var got []wire.Frame
	emit := func(b []byte) { dec.Decode(b, func(f wire.Frame) { got = append(got, f.Clone()) }) }
	ask := func(encoded []byte) []wire.Frame {
		var host wire.Decoder
		host.Aligned = true
		got = nil
		host.Decode(encoded, func(f wire.Frame) { d.Hear(f, emit) })
		return got
	}
	d.Advance(1.0, emit)
	if a := ask(wire.AppendAskHello(nil, 0)); len(a) != 1 || a[0].Type != wire.TypeHello {
		t.Errorf("ask hello: %v", a)
	}
	a := ask(wire.AppendPing(nil, 1, wire.Ping{Token: 77}))
	var pong wire.Pong
	must.Be(t, len(a) == 1 && wire.ParsePong(a[0].Body, &pong) == nil && pong.Token == 77 && pong.TimeMS == 1000, "pong %+v", pong)
	a = ask(wire.AppendSetRate(nil, 2, wire.SetRate{RateMHz: 4000}))
	must.Be(t, len(a) == 1 && hellos(t, a)[0].RateMHz == 4000, "set rate: %v", a)
	got = nil
	d.Advance(3.5, emit)
	n := len(samples(t, got))
	must.Be(t, n == 10, "%d samples in 2.5 s at 4 Hz", n)
	if a := ask(wire.AppendFrame(nil, wire.TypeSetRate, 3, []byte{1})); len(a) != 0 {
		t.Errorf("a cut request was answered: %v", a)
	}
	a = ask(wire.AppendSetRate(nil, 4, wire.SetRate{RateMHz: math.MaxUint32}))
	r := hellos(t, a)[0].RateMHz
	must.Be(t, r == rateMostHz*1000, "a mad rate became %d mHz", r)
	c := dec.Counts()
	must.Be(t, c.Lost == 0, "answers left a gap: %+v", c)
}

// A restart is a new boot with device time from 0, after a silence, while the
// vessel goes on.
func TestRestart(t *testing.T) {
	o := Options{ForS: 30, Cable: Cable{RestartsS: []float64{20}, DownForS: 2}}
	list, counts := frames(t, vessel.Invented(), calm(), o)
	all := hellos(t, list)
	last := all[len(all)-1]
	must.Be(t, last.Boot != all[0].Boot && last.Restart == wire.RestartWatchdog && last.Board == all[0].Board,
		"hello before %+v, after %+v", all[0], last)
	s := samples(t, list)
	end := s[len(s)-1]
	must.Near(t, "device time at the end, ms", float64(end.TimeMS), 8000, 1)
	must.Be(t, len(s) == 400+161, "%d samples, want 561", len(s))
	must.Be(t, counts.Damaged == 0 && end.Values[0] > s[399].Values[0], "pressure did not go on rising: %d after %d", end.Values[0], s[399].Values[0])
}

// The cable's mishaps reach the host in the numbers asked for, and the
// decoder counts them.
func TestCableMishaps(t *testing.T) {
	p := vessel.Invented()
	count := func(c Cable) (wire.Counts, []wire.Sample) {
		list, counts := frames(t, p, calm(), Options{ForS: 100, Seed: 4, Cable: c})
		return counts, samples(t, list)
	}
	const sent = 2021 // 2001 samples and 20 hellos, more or less
	c, _ := count(Cable{Lost: 0.1})
	must.Be(t, math.Abs(float64(c.Lost)-0.1*sent) <= 60 && c.Damaged == 0, "lost 10 %%: %+v", c)
	c, _ = count(Cable{Repeated: 0.1})
	must.Be(t, math.Abs(float64(c.Repeated)-0.1*sent) <= 60 && c.Lost == 0, "repeated 10 %%: %+v", c)
	c, _ = count(Cable{Flipped: 0.1})
	must.Be(t, c.Damaged >= 100 && c.Good >= sent*8/10, "flipped 10 %%: %+v", c)
	_, s := count(Cable{StallAtS: 30, StallForS: 4})
	gaps := 0
	for i := 1; i < len(s); i++ {
		if d := s[i].TimeMS - s[i-1].TimeMS; d > 60 {
			gaps++
			must.Near(t, "gap, ms", float64(d), 4050, 60)
			must.Be(t, s[i].Flags&wire.FlagOverrun != 0 && s[i+1].Flags&wire.FlagOverrun == 0, "the gap is not flagged, or more than the gap is")
		}
	}
	must.Be(t, gaps == 1, "%d gaps", gaps)
}

// A rate finer than the integrator's step never loses its rhythm.
func TestFastestRate(t *testing.T) {
	list, _ := frames(t, vessel.Invented(), calm(), Options{ForS: 4, RateHz: rateMostHz})
	s := samples(t, list)
	want := 4 * rateMostHz
	must.Be(t, len(s) >= want-1 && len(s) <= want+1, "%d samples in 4 s, want %d", len(s), want)
	for i := 1; i < len(s); i++ {
		must.Need(t, s[i].TimeMS > s[i-1].TimeMS, "device time stands at sample %d", i)
	}
}

// How much faster than real time a fill runs, frames and truth included. The
// goal is 500: 30 vessels, 4 fills each of 15 min, within a minute.
func BenchmarkRecord(b *testing.B) {
	p := vessel.Invented()
	const forS = 120
	for range b.N {
		must.Do(b, Record(p, calm(), Options{ForS: forS}, func([]byte) error { return nil }, func(Row) error { return nil }))
	}
	b.ReportMetric(forS*float64(b.N)/b.Elapsed().Seconds(), "x_real_time")
}

func BenchmarkStep(b *testing.B) {
	s := must.Get(NewSimulator(vessel.Invented(), calm(), Options{}))(b)
	b.ReportAllocs()
	for range b.N {
		s.Step(stepS)
	}
}

// After each start the logger sends 0x00 before its hello, as the protocol's
// page demands, so that a frame which the restart cut off does not spoil it.
func TestStartBeginsWithDelimiter(t *testing.T) {
	p := vessel.Invented()
	d := must.Get(NewDevice(p, calm(), Options{Cable: Cable{RestartsS: []float64{3}, DownForS: 1}}))(t)
	var sent [][]byte
	d.Advance(6, func(b []byte) { sent = append(sent, append([]byte(nil), b...)) })
	starts := 0
	for i, b := range sent {
		if len(b) != 1 || b[0] != 0 {
			continue
		}
		starts++
		var dec wire.Decoder
		dec.Aligned = true
		kind := wire.Type(0)
		dec.Decode(sent[i+1], func(f wire.Frame) { kind = f.Type })
		must.Be(t, kind == wire.TypeHello, "after the delimiter of start %d comes a %v", starts, kind)
	}
	must.Be(t, starts == 2, "%d delimiters, want one for each of 2 starts", starts)
}

// A host that does not read costs a bounded queue, the oldest frames first.
func TestQueueOfAStuckHostIsBounded(t *testing.T) {
	h := &host{frames: make(chan []byte, 3)}
	for i := range byte(10) {
		h.offer([]byte{i})
	}
	must.Be(t, len(h.frames) == 3 && (<-h.frames)[0] == 7, "%d frames wait", len(h.frames))
}
