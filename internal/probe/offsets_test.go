package probe

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Offsets of the invented board; values are made up.
const goodOffsets = `
[[offset]]
board = "0x5A17C0DE"
channel = 1
offset = "-1.2 °C"
uncertainty = "0.3 °C"
date = 2026-05-01
method = "ice point"
remark = "new plug"

[[offset]]
board = "1511506142"
channel = 0
offset = "0.03 bar"

[[offset]]
board = "7"
channel = 1
offset = "9 °F"
date = "2026-05-02"
`

// Every key reaches its field, in SI.
func TestParseOffsets(t *testing.T) {
	got := must.Get(ParseOffsets("offsets.toml", []byte(goodOffsets)))(t)
	want := &Offsets{List: []Offset{
		{Board: 0x5A17C0DE, Channel: 1, Offset: -1.2, Uncertainty: 0.3, Point: math.NaN(), Date: "2026-05-01", Method: "ice point", Remark: "new plug"},
		{Board: 0x5A17C0DE, Channel: 0, Pressure: true, Offset: 3000, Uncertainty: math.NaN(), Point: math.NaN()},
		{Board: 7, Channel: 1, Offset: 5, Uncertainty: math.NaN(), Point: math.NaN(), Date: "2026-05-02"},
	}}
	d := cmp.Diff(want, got, cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-12, 0))
	must.Be(t, d == "", "%v", d)
	if _, ok := got.Find(7, 0); ok {
		t.Error("found an offset that is not there")
	}
	if _, ok := (*Offsets)(nil).Find(7, 1); ok {
		t.Error("found an offset in no file")
	}
	empty, err := ParseOffsets("offsets.toml", nil)
	must.Be(t, err == nil && len(empty.List) == 0, "an empty file: %v, %v", empty, err)
	must.Be(t, BoardText(0x5A17C0DE) == "0x5A17C0DE", "%v", BoardText(0x5A17C0DE))
}

// Each mistake is refused with its line and what to type.
func TestParseOffsetsRefuses(t *testing.T) {
	tests := []struct{ name, old, new, at, wrong string }{
		{"no unit", `"-1.2 °C"`, `"-1.2"`, "offset =", "has no unit"},
		{"bare number", `"-1.2 °C"`, `-1.2`, "offset =", "has no unit"},
		{"unit", `"-1.2 °C"`, `"-1.2 V"`, "offset =", "unknown unit"},
		{"absurd", `"-1.2 °C"`, `"-16 °C"`, "offset =", "too much for a sound sensor"},
		{"absurd pressure", `"0.03 bar"`, `"30 bar"`, "offset =", "too much for a sound sensor"},
		{"no offset", "offset = \"-1.2 °C\"\n", "", "[[offset]]", "is missing"},
		{"no board", "board = \"0x5A17C0DE\"\n", "", "[[offset]]", "is missing"},
		{"board", `"0x5A17C0DE"`, `"five"`, "board =", "no logger's number"},
		{"board number", `"0x5A17C0DE"`, `0x5A17C0DE`, "board =", "is 0x5A17C0DE"},
		{"channel", "channel = 1", "channel = 99", "channel =", "is 99"},
		{"uncertainty of another kind", `"0.3 °C"`, `"0.3 bar"`, "uncertainty =", "does not belong"},
		{"negative uncertainty", `"0.3 °C"`, `"-0.3 °C"`, "uncertainty =", "does not belong"},
		{"date", `2026-05-01`, `"01.05.2026"`, "date =", "01.05.2026"},
		{"month", `2026-05-01`, `"2026-13-01"`, "date =", "2026-13-01"},
		{"unknown key", "remark", "remrk", "remrk", "not a known key"},
		{"single table", "[[offset]]\nboard = \"0x5A17C0DE\"", "[offset]\nboard = \"0x5A17C0DE\"", "[[offset]]", "array table"},
		{"twice", "board = \"7\"\nchannel = 1\noffset = \"9 °F\"\ndate = \"2026-05-02\"", "board = \"0x5A17C0DE\"\nchannel = 1\noffset = \"9 °F\"", "channel", "has an earlier offset"},
	}
	for _, tt := range tests {
		text := strings.Replace(goodOffsets, tt.old, tt.new, 1)
		off, err := ParseOffsets("offsets.toml", []byte(text))
		var bad *vessel.FileError
		if !errors.As(err, &bad) || off != nil || text == goodOffsets {
			t.Errorf("%s: %v, %v", tt.name, off, err)
			continue
		}
		p := bad.Problems[0]
		line := strings.Split(text, "\n")[max(p.Line, 1)-1]
		must.Be(t, strings.Contains(line, tt.at) && strings.Contains(p.Wrong, tt.wrong) && p.Expected != "", "%s: at %q: %v", tt.name, line, err)
	}
}

// An offset is what the sensor reads too much: it is taken off, on its board
// and channel only.
func TestOffsetsApplied(t *testing.T) {
	off := &Offsets{List: []Offset{
		{Board: 0x5A17C0DE, Channel: 1, Offset: -1.2},
		{Board: 0x5A17C0DE, Channel: 0, Pressure: true, Offset: 3000},
		{Board: 7, Channel: 2, Offset: 5},
	}}
	plain, _ := bank(t, nil)
	b, _ := bank(t, off)
	for i, want := range []float64{3000, -1.2, 0, 0, 0, 0} {
		r, q := b.Readings()[i], plain.Readings()[i]
		must.Be(t, math.Abs(q.Value-r.Value-want) <= 1e-9 && r.Offset == want,
			"channel %d: %v becomes %v, offset %v, want %v", i, q.Value, r.Value, r.Offset, want)
	}
	h := ploverHello()
	h.Board = 7
	must.Do(t, errors.Join(b.Hello(h)...))
	if r := b.Readings(); r[sun].Offset != 5 || r[gasBead].Offset != 0 {
		t.Errorf("on board 7: offsets %v and %v", r[sun].Offset, r[gasBead].Offset)
	}
}

// A cold junction's offset reaches the thermocouples that hang on it.
func TestColdJunctionOffset(t *testing.T) {
	off := &Offsets{List: []Offset{{Board: 0x5A17C0DE, Channel: 4, Offset: 2}}}
	b, _ := bank(t, off)
	// 25 °C read, 23 °C true: the emf was made against 25 °C, so the bead is
	// found about 2 K lower, less what K's sensitivity differs (40.5 and 41.1 µV/K).
	got := b.Readings()[gasBead].Value
	must.Be(t, math.Abs(got-311.15) <= 0.05, "gas %v K, want about 311.15", got)
}

// An offset of another quantity is not applied, and said.
func TestOffsetOfAnotherQuantity(t *testing.T) {
	off := &Offsets{List: []Offset{{Board: 0x5A17C0DE, Channel: 1, Pressure: true, Offset: 3000}}}
	b := NewBank(vessel.Invented(), off)
	errs := b.Hello(ploverHello())
	must.Be(t, len(errs) == 1 && strings.Contains(errs[0].Error(), "another quantity") && strings.Contains(errs[0].Error(), "0.03 bar"),
		"got %v", errs)
	b.Sample(calm(t), 0)
	r := b.Readings()[gasBead]
	must.Be(t, r.Offset == 0 && math.Abs(r.Value-313.15) <= 1e-4, "gas %+v", r)
}

// No text makes the reader of offsets panic; what it takes lies within its
// limits, and an offset that is put in force is found when read back, with all
// others kept, in force or as history.
func FuzzParseOffsets(f *testing.F) {
	f.Add([]byte(goodOffsets), uint64(7), uint8(1), 0.5)
	f.Add([]byte("offset = [{board = \"1\", channel = 0, offset = \"1 K\"}]"), uint64(1), uint8(0), -3.0)
	f.Fuzz(func(t *testing.T, data []byte, board uint64, channel uint8, k float64) {
		before, err := ParseOffsets("fuzz.toml", data)
		must.Need(t, (before == nil) != (err == nil), "offsets %v and error %v", before, err)
		fresh := Offset{Board: board, Channel: int(channel % wire.ChannelMost), Offset: k, Uncertainty: 0.3, Point: 273.15, Date: "2026-05-01"}
		text, after, err := WithOffsets("fuzz.toml", data, "offset", []Offset{fresh})
		if before == nil || err != nil || !(math.Abs(k) <= offsetMostK) {
			must.Need(t, before != nil || err != nil, "a text that can't be read was written to")
			return
		}
		for _, o := range before.List {
			most := offsetMostK + offsetMostPa
			must.Be(t, math.Abs(o.Offset) <= most && !(o.Uncertainty < 0), "taken: %+v", o)
		}
		o, ok := after.Find(fresh.Board, fresh.Channel)
		_, replaced := before.Find(fresh.Board, fresh.Channel)
		kept := len(before.List) + len(before.History)
		if !ok || math.Abs(o.Offset-k) > 1e-4 || len(after.List)+len(after.History) != kept+1 || replaced != (len(after.List) == len(before.List)) {
			t.Fatalf("%d and %d before, %d and %d after, in force %+v, written:\n%s", len(before.List), len(before.History), len(after.List), len(after.History), o, text)
		}
	})
}
