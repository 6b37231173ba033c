package recording

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// frames decodes what Append functions made.
func frames(t *testing.T, b []byte) []wire.Frame {
	t.Helper()
	var out []wire.Frame
	d := wire.Decoder{Aligned: true}
	d.Decode(b, func(f wire.Frame) { out = append(out, f.Clone()) })
	return out
}

// play takes frames in and gives what the last one said.
func play(t *testing.T, p *Playback, b []byte) Heard {
	t.Helper()
	var h Heard
	for _, f := range frames(t, b) {
		h = p.Step(f)
	}
	return h
}

func reading(station uint8) []byte {
	return wire.AppendEntry(nil, 0, wire.Entry{Kind: wire.EntrySurface, Station: station, Value: 20_000})
}

var undo = wire.AppendEntry(nil, 0, wire.Entry{Kind: wire.EntryUndo})

func sample(ms uint32, n int) []byte {
	return wire.AppendSample(nil, 0, &wire.Sample{TimeMS: ms, N: n})
}

// Readings are taken back the newest first, as far as they are young, eight
// are kept, and those of another part or of no station never.
func TestStanding(t *testing.T) {
	p := Playback{Stations: 2}
	back := func() int { t.Helper(); return play(t, &p, undo).Reading }
	play(t, &p, sample(0, 1))
	got := back()
	must.Be(t, got == -1, "nothing was read, and reading %d is taken back", got)
	for i := range 2 {
		h := play(t, &p, reading(uint8(i)))
		must.Need(t, h.Reading == i && h.Station == i, "reading %d: %+v", i, h)
	}
	h := play(t, &p, reading(2))
	must.Be(t, h.Reading == -1, "a reading of no station counts: %+v", h)
	a, b, c := back(), back(), back()
	must.Be(t, a == 1 && b == 0 && c == -1, "taken back %d, %d, %d; want 1, 0 and none", a, b, c)
	for range wire.UndoMost + 1 {
		play(t, &p, reading(0))
	}
	for want := 2 + wire.UndoMost; want > 2; want-- {
		got := back()
		must.Need(t, got == want, "taken back %d, want %d", got, want)
	}
	must.Equal(t, back(), -1, "more than %d are taken back", wire.UndoMost)
	play(t, &p, reading(0))
	play(t, &p, sample(1000*wire.UndoMostS, 1))
	play(t, &p, reading(1))
	play(t, &p, sample(1000*wire.UndoMostS+100, 1))
	a, b = back(), back()
	must.Be(t, a == 12 && b == -1, "taken back %d and %d; want 12, and the one before it is too old", a, b)
	play(t, &p, reading(0))
	play(t, &p, wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version}))
	got = back()
	must.Be(t, got == -1, "reading %d of another part is taken back", got)
}

// A sample counts when it is new and fits the hello; a hello tells a first, a
// restarted and another logger apart; what makes no sense says nothing.
func TestHeard(t *testing.T) {
	var p Playback
	hello := func(board uint64, boot uint16, n int) []byte {
		h := wire.Hello{Protocol: wire.Version, Board: board, Boot: boot, RateMHz: 10_000, N: n}
		for i := range n {
			h.Channels[i] = wire.Channel{Index: uint8(i), Kind: wire.KindPascal}
		}
		return wire.AppendHello(nil, 0, &h)
	}
	for i, c := range []struct {
		frame []byte
		want  Heard
	}{
		{hello(1, 1, 2), Heard{Type: wire.TypeHello, First: true}},
		{sample(100, 2), Heard{Type: wire.TypeSample, Fresh: true}},
		{sample(100, 2), Heard{Type: wire.TypeSample}},
		{sample(200, 3), Heard{Type: wire.TypeSample, TimeS: 0.1}},
		{hello(1, 1, 2), Heard{Type: wire.TypeHello}},
		{hello(1, 2, 2), Heard{Type: wire.TypeHello, Restarted: true}},
		{sample(5, 2), Heard{Type: wire.TypeSample, Fresh: true, TimeS: 0.2}},
		{hello(1, 2, 3), Heard{Type: wire.TypeHello, Changed: "it has 3 channels, had 2"}},
		{hello(9, 1, 3), Heard{Type: wire.TypeHello, Restarted: true, OtherBoard: true, Changed: "its number is 9, was 1"}},
		{wire.AppendFrame(nil, wire.TypeSample, 0, []byte{1}), Heard{}},
	} {
		c.want.Reading = -1
		got := play(t, &p, c.frame)
		got.Problems = nil
		if got.Type != c.want.Type || got.Fresh != c.want.Fresh || got.TimeS != c.want.TimeS || got.First != c.want.First ||
			got.Restarted != c.want.Restarted || got.OtherBoard != c.want.OtherBoard || got.Changed != c.want.Changed || got.Reading != c.want.Reading {
			t.Errorf("frame %d: %+v, want %+v", i, got, c.want)
		}
	}
}
