package wire

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
)

func collect(d *Decoder, p []byte) []Frame {
	var frames []Frame
	d.Decode(p, func(f Frame) { frames = append(frames, f.Clone()) })
	return frames
}

// noise is a long stream of good, harmed and doubled frames.
func noise(seed uint64, n int) []byte {
	r := rand.New(rand.NewPCG(seed, 7))
	var p []byte
	for range n {
		p = append(p, harm(r, randomFrame(r))...)
	}
	return p
}

// However a stream is cut into reads, the same frames and counts come out.
func TestChunkingChangesNothing(t *testing.T) {
	stream := noise(8, 400)
	var whole Decoder
	want := collect(&whole, stream)
	must.Need(t, len(want) >= 100 && whole.Counts().Damaged != 0 && whole.Counts().Oversize != 0 && whole.Counts().Repeated != 0,
		"the stream is too tame: %d frames, %+v", len(want), whole.Counts())
	for _, most := range []int{1, 2, 7, 64, 600} {
		r := rand.New(rand.NewPCG(9, uint64(most)))
		var d Decoder
		var got []Frame
		for rest := stream; len(rest) > 0; {
			n := min(len(rest), 1+r.IntN(most))
			got = append(got, collect(&d, rest[:n])...)
			rest = rest[n:]
		}
		diff := cmp.Diff(want, got)
		must.Be(t, diff == "", "reads of up to %d bytes: -want +got\n%s", most, diff)
		must.Be(t, d.Counts() == whole.Counts() && d.Pending() == whole.Pending(),
			"reads of up to %d bytes: %+v, want %+v", most, d.Counts(), whole.Counts())
	}
}

// Pending tells a run log how many bytes of a torn last frame there are, even
// of a frame that is longer than any may be.
func TestPending(t *testing.T) {
	frame := AppendPing(nil, 1, Ping{7})
	d := Decoder{Aligned: true}
	collect(&d, frame)
	for n := range 2000 {
		must.Need(t, d.Pending() == n, "Pending is %d after %d bytes", d.Pending(), n)
		collect(&d, []byte{0x55})
	}
	collect(&d, []byte{0})
	got := collect(&d, frame)
	must.Be(t, len(got) == 1 && d.Pending() == 0 && d.Counts() == (Counts{Good: 2, Oversize: 1}), "%d frames, pending %d, %+v", len(got), d.Pending(), d.Counts())
}

// Before the first delimiter nothing is kept or counted.
func TestPendingBeforeFirstDelimiter(t *testing.T) {
	var d Decoder
	collect(&d, []byte(strings.Repeat("rubbish", 1000)))
	must.Be(t, d.Pending() == 0 && d.Counts() == (Counts{}), "pending %d, %+v", d.Pending(), d.Counts())
}

// A frame's body can't grow into the decoder's memory, and a clone outlives it.
func TestBodyIsFenced(t *testing.T) {
	d := Decoder{Aligned: true}
	var kept Frame
	d.Decode(AppendPing(nil, 1, Ping{0x01020304}), func(f Frame) {
		must.Be(t, cap(f.Body) == len(f.Body), "body has %d bytes and room for %d", len(f.Body), cap(f.Body))
		kept = f.Clone()
	})
	collect(&d, noise(1, 20))
	must.Be(t, string(kept.Body) == "\x04\x03\x02\x01", "clone changed: %x", kept.Body)
}

// A repeat is known again when the host's frames and damage came between.
func TestRepeatAcrossOtherFrames(t *testing.T) {
	sample := AppendSample(nil, 4, &Sample{TimeMS: 80, N: 1})
	stream := append([]byte{}, sample...)
	stream = AppendSilence(stream, 0, Silence{250})
	stream = AppendClock(stream, 1, Clock{5})
	stream = append(stream, 3, 1, 0)
	stream = append(stream, sample...)
	d := Decoder{Aligned: true}
	got := collect(&d, stream)
	want := (Counts{Good: 3, Damaged: 1, Repeated: 1})
	must.Be(t, len(got) == 3 && d.Counts() == want, "%d frames, %+v, want %+v", len(got), d.Counts(), want)
}

// Neither encoding nor decoding allocates.
func TestNoAllocation(t *testing.T) {
	stream := noise(11, 200)
	var d Decoder
	good := 0
	n := testing.AllocsPerRun(10, func() { d.Decode(stream, func(Frame) { good++ }) })
	must.Be(t, n == 0 && good != 0, "decoding allocates %v times for %d frames", n, good)
	buf := make([]byte, 0, 1024)
	hello, sample := Hello{Protocol: Version}, Sample{N: ChannelMost}
	if n := testing.AllocsPerRun(10, func() {
		buf = AppendHello(buf[:0], 1, &hello)
		buf = AppendSample(buf, 2, &sample)
		buf = AppendEntry(buf, 3, Entry{Kind: EntryMark, Text: "valve whistles"})
	}); n != 0 {
		t.Errorf("encoding allocates %v times", n)
	}
}

// The limits a caller must keep are guarded, not cut in silence.
func TestTooLongPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"frame":  func() { AppendFrame(nil, 1, 0, make([]byte, BodyMost+1)) },
		"hello":  func() { AppendHello(nil, 0, &Hello{N: ChannelMost + 1}) },
		"sample": func() { AppendSample(nil, 0, &Sample{N: -1}) },
		"text":   func() { AppendText(nil, 0, Text{Data: make([]byte, TextPartMost+1)}) },
	} {
		func() {
			defer func() {
				s, ok := recover().(string)
				must.Be(t, ok && strings.HasPrefix(s, "wire: "), "%s: no panic that says why", name)
			}()
			f()
		}()
	}
}
