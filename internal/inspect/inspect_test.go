package inspect

import (
	"bytes"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// live makes a log as a watch writes it: start, texts, then the host's clock
// every 50 ms and the logger's samples, a hello every 5 s. It gives where each
// frame begins, and whether it is the host's.
func live(samples int, drop func(i int) bool) (log []byte, starts []int, host []bool) {
	seq, seqL := uint8(0), uint8(0)
	put := func(b []byte, ours bool) {
		starts, host = append(starts, len(log)), append(host, ours)
		log = append(log, b...)
	}
	ours := func(make func(seq uint8) []byte) { put(make(seq), true); seq++ }
	ours(func(n uint8) []byte { return wire.AppendLogStart(nil, n, wire.LogStart{Version: wire.Version}) })
	for part := range uint16(2) {
		ours(func(n uint8) []byte {
			return wire.AppendText(nil, n, wire.Text{Kind: wire.TextProfile, Part: part, Parts: 2, Data: []byte("name = 1\n")})
		})
	}
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: 1, RateMHz: 20000, N: 1}
	h.Channels[0] = wire.Channel{Kind: wire.KindPascal}
	for i := range samples {
		ours(func(n uint8) []byte { return wire.AppendArrival(nil, n, wire.Arrival{HostMS: uint32(50 * i)}) })
		if i%100 == 0 {
			put(wire.AppendHello(nil, seqL, &h), false)
			seqL++
		}
		s := wire.Sample{TimeMS: uint32(1000 + 50*i), N: 1}
		s.Values[0] = int32(i)
		if drop == nil || !drop(i) {
			put(wire.AppendSample(nil, seqL, &s), false)
		}
		seqL++
	}
	return log, starts, host
}

func look(t *testing.T, log []byte) *Report {
	t.Helper()
	return must.Get(Frames(iotest.HalfReader(bytes.NewReader(log))))(t)
}

// TestWhole proves that a log as it was recorded is called whole, also one that
// was added to, and one of a logger whose frames got lost on the cable.
func TestWhole(t *testing.T) {
	log, _, _ := live(1000, nil)
	r := look(t, log)
	must.Be(t, r.Whole() && len(r.Problems) <= 0 && r.Parts == 1 && r.Samples == 1000, "%+v", r)
	r = look(t, append(bytes.Clone(log), log...))
	must.Be(t, r.Whole() && r.Parts == 2, "%+v", r)
	lossy, _, _ := live(1000, func(i int) bool { return i%100 == 42 })
	r = look(t, lossy)
	must.Be(t, r.Whole() && len(r.Problems) == 10 && r.Problems[0].Cable, "%+v", r)
}

// TestFlip proves that no bit of a log can be turned over without being found,
// and at which byte.
func TestFlip(t *testing.T) {
	log, starts, _ := live(200, nil)
	r := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		bad := bytes.Clone(log)
		at := r.IntN(len(bad))
		bad[at] ^= 1 << r.IntN(8)
		rep := look(t, bad)
		must.Need(t, !rep.Whole(), "byte %d of %d turned over, and it was called whole", at, len(bad))
		frame := 0
		for _, s := range starts {
			if s <= at {
				frame = s
			}
		}
		// A delimiter that was turned over joins two frames.
		p := rep.Problems[0]
		must.Need(t, p.Byte <= int64(at)+1 && p.Byte >= int64(frame)-1, "byte %d, in the frame at %d, turned over; found at %d: %s", at, frame, p.Byte, p.What)
	}
}

// TestCut proves that a log cut anywhere but between two frames is called cut.
func TestCut(t *testing.T) {
	log, starts, _ := live(60, nil)
	between := map[int]bool{len(log): true}
	for _, s := range starts {
		between[s] = true
	}
	for n := 400; n < len(log); n++ {
		rep := look(t, log[:n])
		got := !rep.Whole()
		must.Need(t, got != between[n], "cut at %d, between two frames: %v; found: %v %+v", n, between[n], got, rep.Problems)
	}
}

// TestHole proves that frames taken out of the middle are missed, as soon as one
// of the program's own was among them, and so is a stretch of zeros.
func TestHole(t *testing.T) {
	log, starts, host := live(3000, nil)
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		from := 4 + r.IntN(len(starts)-8)
		to := from + 1 + r.IntN(min(700, len(starts)-from-4))
		ours := 0
		for i := from; i < to; i++ {
			if host[i] {
				ours++
			}
		}
		bad := append(bytes.Clone(log[:starts[from]]), log[starts[to]:]...)
		rep := look(t, bad)
		must.Need(t, ours <= 0 || !rep.Whole(), "frames %d to %d taken out, %d of them the program's own, and it was called whole", from, to, ours)
		zero := bytes.Clone(log)
		clear(zero[starts[from]:starts[to]])
		rep = look(t, zero)
		must.Need(t, !rep.Whole() && strings.Contains(rep.Problems[0].What, "zero bytes") && rep.Problems[0].Byte == int64(starts[from]), "%+v", rep.Problems)
	}
}

// TestTextWithAPartMissing proves that a profile that was recorded in part is
// told by its name.
func TestTextWithAPartMissing(t *testing.T) {
	log, starts, _ := live(60, nil)
	bad := append(bytes.Clone(log[:starts[2]]), log[starts[3]:]...)
	rep := look(t, bad)
	must.Be(t, !rep.Whole() && strings.Contains(rep.Problems[0].What, "profile"), "%+v", rep.Problems)
}

// TestMany proves that the list of problems is bounded, and says what it left
// out.
func TestMany(t *testing.T) {
	junk := bytes.Repeat([]byte{3, 1, 1, 1, 0}, 1000)
	rep := look(t, junk)
	must.Be(t, len(rep.Problems) == problemsMost && rep.More == 1000-problemsMost && !rep.Whole(),
		"%d problems and %d more", len(rep.Problems), rep.More)
	long, err := Frames(io.LimitReader(bytes.NewReader(bytes.Repeat([]byte{1}, 1<<20)), 1<<20))
	must.Be(t, err == nil && !long.Whole(), "%v %+v", err, long)
}

// TestLines proves that a damaged line and a cut end of a text capture are told.
func TestLines(t *testing.T) {
	good := "time_ms,pressure_bar,gas_c\n100,0.1,20.0\n200,0.2,20.1\n"
	for text, want := range map[string]int{good: 0, good + "300,x,20\n400,0.1,21.0\n": 1, good + "300,0.": 1} {
		rep, err := Lines(iotest.OneByteReader(strings.NewReader(text)))
		must.Be(t, err == nil && len(rep.Problems) == want, "%q: %v %+v", text, err, rep)
	}
}

// FuzzFrames proves that nothing upsets the look, and that places lie in the
// file.
func FuzzFrames(f *testing.F) {
	log, _, _ := live(5, nil)
	f.Add(log)
	f.Add([]byte{0, 0, 0, 5})
	f.Fuzz(func(t *testing.T, data []byte) {
		rep := must.Get(Frames(bytes.NewReader(data)))(t)
		for _, p := range rep.Problems {
			must.Need(t, p.Byte >= 0 && p.Byte+p.Bytes <= int64(len(data)), "%+v in %d bytes", p, len(data))
		}
	})
}
