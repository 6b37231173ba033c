package probe

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// A fresh offset takes the old one's place; the text before it stays.
func TestWithOffsets(t *testing.T) {
	text := []byte("# my own words\n" + goodOffsets + "# the end")
	fresh := Offset{Board: 0x5A17C0DE, Channel: 1, Offset: 2.5, SlopeError: 0.01, Uncertainty: 0.2, Point: zeroCK,
		Date: "2026-06-01", Method: "ice point", Conditions: "melting ice", Remark: `after a "bump"`}
	for n := 1; n <= 2; n++ {
		out, all, err := WithOffsets("offsets.toml", text, "offset", []Offset{fresh})
		must.Do(t, err)
		got, _ := all.Find(fresh.Board, 1)
		d := cmp.Diff(fresh, got, cmpopts.EquateApprox(0, 1e-9))
		must.Be(t, d == "", "%v", d)
		must.Be(t, len(all.List) == 3 && len(all.History) == n && all.History[0].Offset == -1.2 && bytes.HasPrefix(out, text),
			"%d in force, history %+v", len(all.List), all.History)
		text = out
	}
	if _, all, err := WithOffsets("offsets.toml", text, "history", []Offset{fresh}); err != nil || len(all.History) != 3 || len(all.List) != 3 {
		t.Errorf("a check: %+v, %v", all, err)
	}
}

// A file with a mistake, or in another form of TOML, is not added to.
func TestWithOffsetsRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"[[offset]]\nboard = 1\n":                                   "board",
		"offset = [{board = \"7\", channel = 1, offset = \"1 K\"}]": "a table with a header line",
	} {
		out, _, err := WithOffsets("offsets.toml", []byte(text), "offset", []Offset{{Board: 7, Channel: 1}})
		must.Be(t, err != nil && out == nil && strings.Contains(err.Error(), want), "%q, %v", out, err)
	}
}

// Age is counted in days of the calendar; that of tomorrow is another time
// zone's today.
func TestAgeDays(t *testing.T) {
	now := time.Date(2026, 3, 1, 23, 0, 0, 0, time.UTC)
	for date, want := range map[string]int{"2026-03-01": 0, "2026-02-28": 1, "2024-02-29": 731, "2026-03-02": 0, "2026-03-03": -2} {
		got, ok := (&Offset{Date: date}).AgeDays(now)
		must.Be(t, got == want && ok, "%s: %d days, %v", date, got, ok)
	}
	if _, ok := (&Offset{Date: "yesterday"}).AgeDays(now); ok {
		t.Error("yesterday is a date")
	}
}

// Whatever is written is read back the same, to what is rounded away.
func TestOffsetRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := Offset{Board: rapid.Uint64().Draw(rt, "board"), Channel: rapid.IntRange(0, 15).Draw(rt, "channel"),
			Offset: rapid.Float64Range(-15, 15).Draw(rt, "offset"), SlopeError: math.Round(rapid.Float64Range(-0.2, 0.2).Draw(rt, "gain")*1e6) / 1e6,
			Uncertainty: rapid.Float64Range(0, 3).Draw(rt, "u"), Point: rapid.Float64Range(230, 400).Draw(rt, "point"),
			Date: "2026-05-01", Remark: rapid.StringMatching(`[a-z"\\ ]{0,20}x`).Draw(rt, "remark")}
		if o.Pressure = rapid.Bool().Draw(rt, "pressure"); o.Pressure {
			o.Offset, o.Point, o.Uncertainty = o.Offset*1e5, o.Point*1e5, o.Uncertainty*1e5
		}
		all, err := ParseOffsets("x", []byte(o.Format("offset")))
		if err != nil || len(all.List) != 1 {
			rt.Fatalf("%v\n%s", err, o.Format("offset"))
		}
		near := 1e-4
		if o.Pressure {
			near = 10
		}
		if d := cmp.Diff(o, all.List[0], cmpopts.EquateApprox(0, near)); d != "" {
			rt.Fatal(d)
		}
	})
}

// With a gain the correction grows with the reading.
func TestOffsetWithGain(t *testing.T) {
	off := &Offsets{List: []Offset{{Board: 0x5A17C0DE, Channel: 1, Offset: 1, SlopeError: 0.02}}}
	b, _ := bank(t, off)
	if r := b.Readings()[gasBead]; math.Abs(r.Offset-1.8) > 1e-4 || math.Abs(r.Value-(313.15-1.8)) > 1e-4 {
		t.Errorf("at 40 °C read: value %v, taken off %v, want 1.8", r.Value, r.Offset)
	}
}
