package probe

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// A fresh offset takes the old one's place; the old one, every comment and
// every other board stay.
func TestSupersede(t *testing.T) {
	text := "# my own words\n" + goodOffsets + "# the end\n"
	fresh := Offset{Board: 0x5A17C0DE, Channel: 1, Offset: 2.5, Gain: 0.01, Uncertainty: 0.2, Point: zeroCK,
		Date: "2026-06-01", Method: "ice point", Conditions: "melting ice", Remark: `after a "bump"`}
	out, err := Supersede("offsets.toml", []byte(text), []Offset{fresh})
	if err != nil {
		t.Fatal(err)
	}
	for _, kept := range []string{"# my own words", "# the end", `remark = "new plug"`} {
		if !strings.Contains(string(out), kept) {
			t.Errorf("lost %q", kept)
		}
	}
	all, err := ParseOffsets("offsets.toml", out)
	if err != nil {
		t.Fatal(err)
	}
	got, _ := all.Find(fresh.Board, 1)
	if d := cmp.Diff(fresh, got, cmpopts.EquateApprox(0, 1e-9)); d != "" {
		t.Error(d)
	}
	if len(all.List) != 3 || len(all.History) != 1 || all.History[0].Offset != -1.2 {
		t.Errorf("%d in force, history %+v", len(all.List), all.History)
	}
	again, err := Supersede("offsets.toml", out, []Offset{fresh})
	if err != nil {
		t.Fatal(err)
	}
	if all, err = ParseOffsets("offsets.toml", again); err != nil || len(all.History) != 2 {
		t.Errorf("after another: %d in the history, %v", len(all.History), err)
	}
}

// A file written by hand in another form of TOML is understood too.
func TestSupersedeInline(t *testing.T) {
	text := `offset = [{board = "7", channel = 1, offset = "1 K"}, {board = "7", channel = 2, offset = "2 K"}]` + "\n"
	out, err := Supersede("offsets.toml", []byte(text), []Offset{{Board: 7, Channel: 1, Offset: 3, Uncertainty: math.NaN(), Point: math.NaN()}})
	if err != nil {
		t.Fatal(err)
	}
	all, err := ParseOffsets("offsets.toml", out)
	if err != nil || len(all.List) != 2 || len(all.History) != 1 {
		t.Errorf("%+v, %v", all, err)
	}
}

// A file with a mistake is not touched.
func TestSupersedeRefuses(t *testing.T) {
	if out, err := Supersede("offsets.toml", []byte("[[offset]]\nboard = 1\n"), nil); err == nil || out != nil {
		t.Errorf("%q, %v", out, err)
	}
}

// Whatever is written is read back the same, to what is rounded away.
func TestOffsetRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := Offset{Board: rapid.Uint64().Draw(rt, "board"), Channel: rapid.IntRange(0, 15).Draw(rt, "channel"),
			Offset: rapid.Float64Range(-15, 15).Draw(rt, "offset"), Gain: math.Round(rapid.Float64Range(-0.2, 0.2).Draw(rt, "gain")*1e6) / 1e6,
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
	off := &Offsets{List: []Offset{{Board: 0x5A17C0DE, Channel: 1, Offset: 1, Gain: 0.02}}}
	b, _ := bank(t, off)
	if r := b.Readings()[gasBead]; math.Abs(r.Offset-1.8) > 1e-4 || math.Abs(r.Value-(313.15-1.8)) > 1e-4 {
		t.Errorf("at 40 °C read: value %v, taken off %v, want 1.8", r.Value, r.Offset)
	}
}
