package canvas

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// TestPlotGuards: whatever the data, the frame is exact and free of colour.
func TestPlotGuards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Plot{low: rapid.Float64Range(-100, 100).Draw(t, "low"), step: rapid.SampledFrom([]float64{0, 1, 2, 5, math.NaN(), math.Inf(1)}).Draw(t, "step"),
			Rows: rapid.IntRange(-1, 40).Draw(t, "rows"), Width: rapid.IntRange(-1, 120).Draw(t, "width"), ASCII: rapid.Bool().Draw(t, "ascii")}
		value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-50, 150), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1)}))
		curves := make([]Curve, rapid.IntRange(0, 4).Draw(t, "curves"))
		for i := range curves {
			curves[i] = Curve{rapid.SliceOfN(value, 0, 200).Draw(t, "y"), rapid.SampledFrom([]string{"", "+", "."}).Draw(t, "sign")}
		}
		lines := f.Draw(curves)
		must.Need(t, len(lines) == max(f.Rows, 0), "%d lines for %d rows", len(lines), f.Rows)
		for _, line := range lines {
			must.Need(t, Cells(line) == max(f.Width, 0) && !strings.Contains(line, "\x1b"), "line %q for width %d", line, f.Width)
		}
	})
}

// TestPlotShowsASpike: one column out of many is drawn, where it belongs.
func TestPlotShowsASpike(t *testing.T) {
	f := Plot{low: 0, step: 1, Rows: 11, Width: AxisCells + 60, ASCII: true}
	y := make([]float64, 60)
	y[30] = 10
	lines := f.Draw([]Curve{{y, "x"}})
	at := strings.Index(lines[0], "x")
	must.Be(t, at >= AxisCells+29 && at <= AxisCells+31, "the spike is at %d:\n%s", at, strings.Join(lines, "\n"))
	must.Be(t, strings.Contains(lines[10], "x"), "the rest is gone:\n%s", strings.Join(lines, "\n"))
}

// TestOnsetHasItsRow: the axis label of the onset's row is the onset, and the
// scale holds what is drawn.
func TestOnsetHasItsRow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Plot{Rows: rapid.IntRange(2, 50).Draw(t, "rows"), Width: 80}
		onset := rapid.Float64Range(30, 200).Draw(t, "onset")
		y := rapid.SliceOfN(rapid.Float64Range(-60, 250), 1, 50).Draw(t, "y")
		f.Scale([]Curve{{y, ""}}, onset, onset-5)
		got := f.low + float64(f.anchor)*f.step
		must.Need(t, math.Abs(got-onset) <= 1e-9, "the anchor stands for %g, onset is %g", got, onset)
		must.Need(t, f.anchor >= 0 && f.anchor < f.Rows, "the onset is outside: row %d of %d", f.anchor, f.Rows)
		top := f.low + float64(f.Rows-1)*f.step
		for _, v := range y {
			must.Need(t, v >= f.low-f.step/2-1e-9 && v <= top+f.step/2+1e-9, "%g is outside %g to %g", v, f.low, top)
		}
	})
}

// TestNoCurveOnTheLimitBeforeItIsThere, however coarse the rows; above it a
// curve is never drawn lower than it is.
func TestNoCurveOnTheLimitBeforeItIsThere(t *testing.T) {
	f := Plot{Rows: 4, Width: AxisCells + 30, ASCII: true}
	y := []float64{40, 46, 48.9, 49.1, 52.2, 54}
	f.Scale([]Curve{{y, ""}}, 54, 49)
	got, _ := f.mapped(y, len(y))
	for i, want := range []float64{39, 44, 44, 49, 54, 54} {
		must.Equal(t, f.low+got[i]*f.step, want, "%g is drawn at", y[i])
	}
}
