package screen

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestPlotGuards: whatever the data, the frame is exact and free of colour.
func TestPlotGuards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := plotFrame{low: rapid.Float64Range(-100, 100).Draw(t, "low"), step: rapid.SampledFrom([]float64{0, 1, 2, 5, nan, math.Inf(1)}).Draw(t, "step"),
			rows: rapid.IntRange(-1, 40).Draw(t, "rows"), width: rapid.IntRange(-1, 120).Draw(t, "width"), ascii: rapid.Bool().Draw(t, "ascii")}
		value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-50, 150), rapid.SampledFrom([]float64{nan, math.Inf(1), math.Inf(-1)}))
		curves := make([]curve, rapid.IntRange(0, 4).Draw(t, "curves"))
		for i := range curves {
			curves[i] = curve{rapid.SliceOfN(value, 0, 200).Draw(t, "y"), rapid.SampledFrom([]string{"", "+", "."}).Draw(t, "sign")}
		}
		lines := f.draw(curves)
		if len(lines) != max(f.rows, 0) {
			t.Fatalf("%d lines for %d rows", len(lines), f.rows)
		}
		for _, line := range lines {
			if cells(line) != max(f.width, 0) || strings.Contains(line, "\x1b") {
				t.Fatalf("line %q for width %d", line, f.width)
			}
		}
	})
}

// TestPlotShowsASpike: one column out of many is drawn, where it belongs.
func TestPlotShowsASpike(t *testing.T) {
	f := plotFrame{low: 0, step: 1, rows: 11, width: axisCells + 60, ascii: true}
	y := make([]float64, 60)
	y[30] = 10
	lines := f.draw([]curve{{y, "x"}})
	if at := strings.Index(lines[0], "x"); at < axisCells+29 || at > axisCells+31 {
		t.Errorf("the spike is at %d:\n%s", at, strings.Join(lines, "\n"))
	}
	if !strings.Contains(lines[10], "x") {
		t.Errorf("the rest is gone:\n%s", strings.Join(lines, "\n"))
	}
}

// TestOnsetHasItsRow: the axis label of the onset's row is the onset, and the
// scale holds what is drawn.
func TestOnsetHasItsRow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := plotFrame{rows: rapid.IntRange(2, 50).Draw(t, "rows"), width: 80}
		onset := rapid.Float64Range(30, 200).Draw(t, "onset")
		y := rapid.SliceOfN(rapid.Float64Range(-60, 250), 1, 50).Draw(t, "y")
		f.chartScale([]curve{{y, ""}}, onset, onset-5)
		if got := f.low + float64(f.anchor)*f.step; math.Abs(got-onset) > 1e-9 {
			t.Fatalf("the anchor stands for %g, onset is %g", got, onset)
		}
		if f.anchor < 0 || f.anchor >= f.rows {
			t.Fatalf("the onset is outside: row %d of %d", f.anchor, f.rows)
		}
		top := f.low + float64(f.rows-1)*f.step
		for _, v := range y {
			if v < f.low-f.step/2-1e-9 || v > top+f.step/2+1e-9 {
				t.Fatalf("%g is outside %g to %g", v, f.low, top)
			}
		}
	})
}
