package monitor

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// told is a Snapshot with everything in it as text; a float's shortest text
// stands for its bits, and NaN is like NaN.
func told(s *Snapshot) string { return fmt.Sprintf("%+v", *s) }

// story is a stand's fill with everything that can happen in it.
func story(tb testing.TB, see func(Snapshot)) *stand {
	s := standOn(tb, testProfile(tb, 48, skinChannels))
	s.see = see
	s.sigmaPa, s.sigmaK = 2000, 0.1
	s.hello()
	s.run(5, 0)
	s.surface(0, 297)
	s.run(3, 0)
	s.surface(1, 500)
	s.run(20, 40*barPerMin)
	s.entry(wire.Entry{Kind: wire.EntryUndo})
	s.run(10, 40*barPerMin)
	s.entry(wire.Entry{Kind: wire.EntryTarget, Value: 30e5})
	s.entry(wire.Entry{Kind: wire.EntryMark, Text: "half way"})
	s.silence(250, 4000)
	s.boot++
	s.ms = 0
	s.hello()
	s.run(5, 40*barPerMin)
	s.dead[atGas] = true
	s.run(5, 40*barPerMin)
	s.dead[atGas] = false
	s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
	s.run(55, 0)
	s.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkDown, Text: "unplugged"}))
	s.run(15, -20*barPerMin)
	return s
}

// The same frames give the same Snapshots, however often and beside whatever
// other monitor (replay equals live).
func TestStepDeterministic(t *testing.T) {
	t.Parallel()
	var live []string
	s := story(t, func(got Snapshot) { live = append(live, told(&got)) })
	a, b := New(Config{Profile: s.profile}), New(Config{Profile: s.profile})
	for i, f := range s.frames {
		x := a.Step(f.Clone())
		y := b.Step(f)
		must.Need(t, told(&x) == live[i] && told(&y) == live[i], "input %d (type %#x) gave another Snapshot:\n%s\n%s", i, f.Type, live[i], told(&x))
	}
}

// A Snapshot is a value: nothing that comes later changes one that was handed
// out, and no memory of a frame is kept.
func TestSnapshotsNeverChange(t *testing.T) {
	t.Parallel()
	var kept []Snapshot
	var then []string
	s := story(t, func(got Snapshot) { kept, then = append(kept, got), append(then, told(&got)) })
	for i := range kept {
		now := told(&kept[i])
		must.Need(t, now == then[i], "Snapshot %d changed after it was handed out:\n%s\n%s", i, then[i], now)
	}
	m := New(Config{Profile: s.profile})
	for i, f := range s.frames {
		f = f.Clone()
		got := m.Step(f)
		for j := range f.Body {
			f.Body[j] = 0xAA
		}
		must.Need(t, told(&got) == then[i], "Snapshot %d holds memory of its frame", i)
	}
}

// garbled is a frame that a bad cable, a bad logger or a bad log could give:
// right in form, any in content.
func garbled(r *rand.Rand, s *stand) wire.Frame {
	random := func(most int) []byte {
		b := make([]byte, r.IntN(most))
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return b
	}
	value := func() int32 {
		switch r.IntN(4) {
		case 0:
			return int32(r.Uint32())
		case 1:
			return []int32{wire.ValueMissing, math.MaxInt32, math.MinInt32 + 1, 0, -1}[r.IntN(5)]
		}
		return int32(r.IntN(60_000))
	}
	switch r.IntN(8) {
	case 0:
		return wire.Frame{Type: wire.Type(r.Uint32()), Body: random(64)}
	case 1:
		e := wire.Entry{Kind: wire.EntryKind(r.IntN(10)), Station: uint8(r.IntN(4)), Value: value(), Text: string(random(20))}
		return frameOf(s.tb, wire.AppendEntry(nil, 0, e))
	case 2:
		return frameOf(s.tb, wire.AppendSilence(nil, 0, wire.Silence{AgeMS: uint32(value())}))
	case 3:
		h := wire.Hello{Protocol: wire.Version, Boot: uint16(r.IntN(3)), Board: uint64(r.IntN(2)), RateMHz: uint32(value()), N: r.IntN(wire.ChannelMost + 1)}
		for i := range h.N {
			h.Channels[i] = wire.Channel{Index: uint8(i), Kind: wire.Kind(r.IntN(7)), Scale: value()}
		}
		return frameOf(s.tb, wire.AppendHello(nil, 0, &h))
	case 4:
		return frameOf(s.tb, wire.AppendFault(nil, 0, wire.Fault{Code: wire.FaultCode(r.IntN(6)), Channel: uint8(r.IntN(8))}))
	case 5:
		return frameOf(s.tb, wire.AppendLink(nil, 0, wire.Link{State: wire.LinkState(r.IntN(8)), Text: string(random(30))}))
	}
	s.ms += uint32(r.IntN(400))
	if r.IntN(40) == 0 {
		s.ms = r.Uint32()
	}
	v := wire.Sample{TimeMS: s.ms, Flags: uint16(r.Uint32()), N: r.IntN(wire.ChannelMost + 1)}
	for i := range v.N {
		v.Values[i] = value()
	}
	if r.IntN(2) == 0 { // something that can be believed
		v.Flags, v.N = 0, 5
		v.Values = [wire.ChannelMost]int32{int32(r.IntN(50e5)), int32(r.IntN(90_000)), 20_000, 25_000, 25_000}
	}
	return frameOf(s.tb, wire.AppendSample(nil, 0, &v))
}

// believable checks what must hold of any Snapshot.
func believable(s *Snapshot) error {
	known := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case known(s.MarginK) && !(known(s.HottestK) && known(s.BandK) && s.BandK > 0):
		return fmt.Errorf("a margin of %v K with a hottest of %v ± %v K", s.MarginK, s.HottestK, s.BandK)
	case math.IsInf(s.MarginK, 1):
		return fmt.Errorf("a margin without end")
	case s.Phase > phase.Venting:
		return fmt.Errorf("phase %d", s.Phase)
	case s.Advice.RampPaS < 0:
		return fmt.Errorf("advised ramp %v", s.Advice.RampPaS)
	case len(s.Events) > EventsMost:
		return fmt.Errorf("%d events", len(s.Events))
	}
	return nil
}

// garbage runs n garbled frames, then a quiet half minute of good ones.
func garbage(t *testing.T, seed uint64, n int) {
	s := standOn(t, testProfile(t, 54, skinChannels))
	r := rand.New(rand.NewPCG(seed, 9))
	s.hello()
	for i := range n {
		f := garbled(r, s)
		got := s.m.Step(f)
		err := believable(&got)
		must.Need(t, err == nil, "seed %d, input %d, type %#x: %v", seed, i, f.Type, err)
	}
	s.boot = 77 // a boot that no garbled hello had
	s.ms = 0
	s.hello()
	got := s.run(30, 0)
	for _, x := range []float64{got.PressurePa, got.GasK, got.HottestK, got.BandK, got.MarginK} {
		must.Need(t, !math.IsNaN(x) && !math.IsInf(x, 0),
			"seed %d: half a minute after the garbage the estimate is still unknown: gas %v, hottest %v ± %v", seed, got.GasK, got.HottestK, got.BandK)
	}
}

// Garbage never panics, never makes a number that can't be, and good data
// bring the estimate back.
func TestGarbage(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 12; seed++ {
		garbage(t, seed, 400)
	}
}

func FuzzStep(f *testing.F) {
	for seed := uint64(100); seed < 103; seed++ {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { garbage(t, seed, 150) })
}

// FuzzBody hands any type and any body to a monitor in the middle of a hold.
func FuzzBody(f *testing.F) {
	f.Add(byte(wire.TypeSample), []byte{})
	f.Add(byte(wire.TypeHello), []byte{1, 0, 0})
	f.Add(byte(wire.TypeEntry), []byte{2, 200, 0, 0, 0, 0, 0})
	f.Add(byte(wire.TypeSilence), []byte{255, 255, 255, 255})
	s := held(f, 54, 3)
	f.Fuzz(func(t *testing.T, typ byte, body []byte) {
		m := New(Config{Profile: s.profile})
		m.Step(s.frames[0])
		m.Step(s.frames[1])
		m.Step(wire.Frame{Type: wire.Type(typ), Body: body})
		got := m.Step(s.frames[2])
		err := believable(&got)
		must.Be(t, err == nil, "%v", err)
	})
}
