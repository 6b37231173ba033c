package screen

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
)

// TestHistoryKeepsEveryPeak: against a list of all values, whatever was merged.
func TestHistoryKeepsEveryPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := newHistory()
		stepS := rapid.Float64Range(0.01, 40).Draw(t, "step")
		n := rapid.IntRange(1, 6000).Draw(t, "n")
		peakAt := rapid.IntRange(0, n-1).Draw(t, "peak")
		start := rapid.Float64Range(-50, 1e5).Draw(t, "start")
		for i := range n {
			s := monitor.Snapshot{TimeS: start + float64(i)*stepS, HottestK: 300, GasK: 300}
			if i == peakAt {
				s.HottestK, s.GasK = 350, 250
			}
			h.add(&s)
		}
		must.Need(t, len(h.buckets) <= historyMost, "%d buckets", len(h.buckets))
		end := start + float64(n)*stepS
		high, low := math.Inf(-1), math.Inf(1)
		for _, b := range h.columns(math.Min(start, end-1)-2*h.stepS, end+h.stepS, rapid.IntRange(1, 300).Draw(t, "columns")) {
			high, low = math.Max(high, orElse(b.hottest.high, high)), math.Min(low, orElse(b.gas.low, low))
		}
		must.Need(t, high == 350 && low == 250, "peak %g, dip %g; the step is %g", high, low, h.stepS)
	})
}

func orElse(x, other float64) float64 {
	if math.IsNaN(x) {
		return other
	}
	return x
}

// TestHistoryForgetsTheFuture: a replay that is set back draws no lines from
// what comes later, and unknown values stay holes.
func TestHistoryForgetsTheFuture(t *testing.T) {
	h := newHistory()
	for i := range 100 {
		h.add(&monitor.Snapshot{TimeS: float64(i), HottestK: 300, GasK: nan})
	}
	h.add(&monitor.Snapshot{TimeS: 10, HottestK: 310, GasK: nan})
	after := h.columns(20, 100, 10)
	for _, b := range after {
		must.Be(t, math.IsNaN(b.hottest.high) && math.IsNaN(b.gas.high), "the future is still there: %+v", b)
	}
	must.Equal(t, h.columns(0, 10, 1)[0].hottest.high, 300, "the past is gone")
	for _, x := range []float64{nan, math.Inf(1), 1e300} {
		h.add(&monitor.Snapshot{TimeS: x, HottestK: 1})
	}
	must.Be(t, len(h.buckets) <= historyMost, "an absurd time grew the history")
}
