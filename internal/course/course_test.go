package course

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

var nan = math.NaN()

// extent is the least and the greatest of a column in rows.
func extent[V Value](rows []Row[V], column int) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		if l := float64(r.Low[column]); l == l {
			low, high = math.Min(low, l), math.Max(high, float64(r.High[column]))
		}
	}
	return low, high
}

// A course of any length and rhythm keeps its bound, its order and its least and
// greatest values, reduced and in part too; what is not known stays a hole.
func TestKeepsEveryPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := New[float32](2)
		stepS := rapid.Float64Range(0.01, 40).Draw(t, "step")
		n := rapid.IntRange(1, 6000).Draw(t, "n")
		peakAt := rapid.IntRange(0, n-1).Draw(t, "peak")
		startS := rapid.Float64Range(-50, 1e5).Draw(t, "start")
		low, high := 300.0, 300.0
		for i := range n {
			x := 300.0
			if i == peakAt {
				x = float64(rapid.Float32Range(200, 400).Draw(t, "x"))
				low, high = math.Min(low, x), math.Max(high, x)
			}
			s.Add(startS+float64(i)*stepS, []float64{x, nan})
		}
		if n == 1 {
			low, high = float64(s.Rows[0].Low[0]), float64(s.Rows[0].High[0])
		}
		must.Need(t, len(s.Rows) <= RowsMost && !s.Known(1), "%d rows, the unknown is known: %v", len(s.Rows), s.Known(1))
		for i := 1; i < len(s.Rows); i++ {
			must.Need(t, s.Rows[i].S > s.Rows[i-1].S, "rows are not in order")
		}
		endS := startS + float64(n)*stepS
		parts := rapid.IntRange(1, 300).Draw(t, "parts")
		for name, rows := range map[string][]Row[float32]{"all": s.Rows, "reduced": s.Reduced(7).Rows, "between": s.Between(startS-s.StepS, endS, startS).Rows,
			"over": s.Over(math.Min(startS, endS-1)-2*s.StepS, endS+s.StepS, parts)} {
			if l, h := extent(rows, 0); l != low || h != high {
				t.Fatalf("%s: %g to %g, want %g to %g; the step is %g", name, l, h, low, high, s.StepS)
			}
		}
	})
}

// Time that runs back forgets what comes later, and keeps what was before; a time
// that is none changes nothing.
func TestForgetsTheFuture(t *testing.T) {
	s := New[float64](1)
	for i := range 100 {
		s.Add(float64(i), []float64{300})
	}
	s.Add(10, []float64{310})
	for _, x := range []float64{nan, math.Inf(1), 1e300} {
		s.Add(x, []float64{1})
	}
	for _, r := range s.Over(20, 100, 10) {
		must.Be(t, r.Low[0] != r.Low[0], "the future is still there: %+v", r)
	}
	low, high := extent(s.Over(0, 10, 1), 0)
	must.Be(t, low == 300 && high == 300, "the past is %g to %g", low, high)
	must.Be(t, len(s.Rows) == 11, "%d rows", len(s.Rows))
}
