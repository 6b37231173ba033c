//go:build unix

package logger

import (
	"math/rand/v2"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// all decodes p in pieces of the given size.
func all(a *Auto, p []byte, size int) (frames []wire.Frame) {
	for len(p) > 0 {
		n := min(size, len(p))
		a.Decode(p[:n], func(f wire.Frame) { frames = append(frames, f.Clone()) })
		p = p[n:]
	}
	return frames
}

func newAuto(t *testing.T, f Format, header string) *Auto {
	t.Helper()
	return must.Get(NewAuto(f, header))(t)
}

const fewLines = "time_ms,pressure_counts/4095,gas_nv\n20,410,800001\n40,411,\n60,412,800003\n"

// The same stream gives the same frames however it is cut, with rubbish in
// front, and the format is found.
func TestAutoFindsTheFormat(t *testing.T) {
	rubbish := make([]byte, 700)
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range rubbish {
		rubbish[i] = byte(1 + rng.IntN(255)) // garbage before the first delimiter
	}
	for _, size := range []int{1, 3, 64, 100000} {
		a := newAuto(t, FormatAuto, "")
		got := all(a, append(append(append([]byte{}, rubbish...), 0), someSamples(20)...), size)
		must.Be(t, len(got) == 20 && got[0].Type == wire.TypeHello && a.Found() == FormatFrames,
			"frames in pieces of %d: %d frames, format %s", size, len(got), a.Found())
		a = newAuto(t, FormatAuto, "")
		got = all(a, []byte("booting...\r\n"+fewLines), size)
		must.Be(t, len(got) == 4 && got[0].Type == wire.TypeHello && a.Found() == FormatLines,
			"lines in pieces of %d: %d frames, format %s", size, len(got), a.Found())
	}
}

// A forced format takes nothing else; a declared header serves a logger that
// prints none.
func TestAutoForced(t *testing.T) {
	got := all(newAuto(t, FormatLines, ""), someSamples(20), 50)
	must.Be(t, len(got) == 0, "frames taken as lines: %d", len(got))
	got = all(newAuto(t, FormatFrames, ""), []byte(fewLines), 50)
	must.Be(t, len(got) == 0, "lines taken as frames: %d", len(got))
	rows := "xx\n20,410\n40,411\n"
	got = all(newAuto(t, FormatAuto, "time_ms,pressure_counts/4095"), []byte(rows), 5)
	must.Be(t, len(got) == 3, "a declared header gave %d frames, want hello and two samples", len(got))
	for _, bad := range []struct {
		f      Format
		header string
	}{{FormatFrames, "time_ms,p_bar"}, {FormatLines, "when,how much"}} {
		_, err := NewAuto(bad.f, bad.header)
		must.Be(t, err != nil, "%v with header %q: no error", bad.f, bad.header)
	}
	for _, f := range []Format{FormatAuto, FormatFrames, FormatLines} {
		got, err := ParseFormat(f.String())
		must.Be(t, err == nil && got == f, "ParseFormat(%q) = %v, %v", f.String(), got, err)
	}
	must.Refuse(t, must.Err(ParseFormat("morse")), "auto, frames or lines")
}

// A reading cut in two by a pulled cable is never joined nor taken for a
// smaller number, whichever way it was cut.
func TestAutoNeverJoinsOverAnInterruption(t *testing.T) {
	for cutAt := 1; cutAt < len("40,411,800002\n"); cutAt++ {
		a := newAuto(t, FormatAuto, "")
		all(a, []byte("time_ms,pressure_counts/4095,gas_nv\n20,410,800001\n"+"40,411,800002\n"[:cutAt]), 7)
		a.Interrupted()
		got := all(a, []byte("12345,417,812345\n"[cutAt:]+"12365,418,812346\n"), 3)
		var s wire.Sample
		must.Be(t, len(got) == 1 && wire.ParseSample(got[0].Body, &s) == nil && s.TimeMS == 12365,
			"cut at %d: %d frames, time %d", cutAt, len(got), s.TimeMS)
	}
	stream := someSamples(3)
	for cutAt := 1; cutAt < len(stream); cutAt++ {
		a := newAuto(t, FormatAuto, "")
		before := len(all(a, stream[:cutAt], 1000))
		a.Interrupted()
		got := all(a, stream[cutAt:], 1000)
		must.Be(t, before+len(got) <= 3, "cut at %d: %d and %d frames", cutAt, before, len(got))
	}
}

// Another logger may come back: a new header, or frames instead of lines.
func TestAutoAnotherLogger(t *testing.T) {
	a := newAuto(t, FormatAuto, "")
	all(a, []byte(fewLines), 10)
	a.Interrupted()
	got := all(a, []byte("time_s,supply_bar\n1,200\n"), 4)
	var h wire.Hello
	must.Need(t, len(got) == 2 && wire.ParseHello(got[0].Body, &h) == nil && h.N == 1 && h.Channels[0].Kind == wire.KindPascal,
		"the new header was not taken: %d frames, %+v", len(got), h)
	var swapped []wire.Frame
	for len(swapped) == 0 && a.Counts().Good < 1000 {
		swapped = all(a, someSamples(200), 64)
		if a.barren > 3*undecidedMost {
			break
		}
	}
	must.Be(t, len(swapped) != 0 && a.Found() == FormatFrames, "frames after lines: %d, format %s", len(swapped), a.Found())
}

// What can't be understood is complained of once, with a guess why.
func TestAutoComplains(t *testing.T) {
	noise := strings.Repeat("\xf8\x80\x00\xfe", undecidedMost)
	prose := strings.Repeat("p=41 bar T=20\n", undecidedMost)
	for _, c := range []struct{ stream, want string }{
		{noise, "--baud"}, {prose, wire.ExampleHeader},
	} {
		a := newAuto(t, FormatAuto, "")
		must.Equal(t, a.Complaint(), "", "complains before anything came")
		said := 0
		for p := []byte(c.stream); len(p) > 0; p = p[64:] {
			a.Decode(p[:64], func(wire.Frame) { t.Error("a frame in rubbish") })
			if got := a.Complaint(); got != "" {
				said++
				must.Be(t, strings.Contains(got, c.want), "complaint %q does not say %q", got, c.want)
			}
		}
		must.Be(t, said == 1, "complained %d times", said)
		counts := a.Counts()
		must.Be(t, counts.Damaged != 0, "nothing counted as damaged: %+v", counts)
	}
	a := newAuto(t, FormatAuto, "")
	for range 100 {
		all(a, someSamples(20), 64)
		got := a.Complaint()
		must.Need(t, got == "", "complains of good frames: %q", got)
	}
}

func BenchmarkAuto(b *testing.B) {
	a := must.Get(NewAuto(FormatAuto, ""))(b)
	stream := someSamples(100)
	n := 0
	b.SetBytes(int64(len(stream)))
	b.ReportAllocs()
	for b.Loop() {
		a.Decode(stream, func(wire.Frame) { n++ })
	}
	must.Need(b, n >= b.N*99, "%d frames in %d rounds", n, b.N)
}

// Whatever comes over the cable, cut anyhow and in any format, nothing panics;
// the same frames come out however it is cut; a hello comes before any sample
// of a logger that prints lines; and a complaint is one short line.
func FuzzAuto(f *testing.F) {
	f.Add([]byte("booting...\r\n"+fewLines), uint8(7), uint8(FormatAuto))
	f.Add(append([]byte{0}, someSamples(3)...), uint8(20), uint8(FormatFrames))
	f.Add([]byte(fewLines+fewLines), uint8(0), uint8(FormatLines))
	f.Fuzz(func(t *testing.T, data []byte, size, format uint8) {
		whole := must.Get(NewAuto(Format(format)%3, ""))(t)
		parts := must.Get(NewAuto(Format(format)%3, ""))(t)
		want, got := all(whole, data, len(data)), all(parts, data, int(size)+1)
		must.Need(t, len(want) == len(got) && whole.Found() == parts.Found(),
			"%d frames as %s whole, %d as %s in parts of %d", len(want), whole.Found(), len(got), parts.Found(), int(size)+1)
		greeted := false
		for i := range want {
			must.Need(t, want[i].Type == got[i].Type && string(want[i].Body) == string(got[i].Body),
				"frame %d is %v whole and %v in parts", i, want[i], got[i])
			greeted = greeted || want[i].Type == wire.TypeHello
			must.Need(t, whole.Found() != FormatLines || want[i].Type != wire.TypeSample || greeted, "a line was used before there was a header")
		}
		c := whole.Complaint()
		must.Need(t, len(c) <= 500 && !strings.ContainsAny(c, "\n\r\x1b"), "complaint %q", c)
	})
}
