package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
)

// Innovations as large as their variance says leave the band alone, all but
// rarely; twice as large ones widen it, by about as much, and it comes back.
func TestTooSure(t *testing.T) {
	for _, c := range []struct{ times, least, most float64 }{{1, 0, 0.06}, {3, 0.7, 1}} {
		rng := rand.New(rand.NewPCG(3, 9))
		wide, n := 0.0, 0.0
		for range 2000 {
			var w innovations
			for range trustKeep {
				e := c.times * rng.NormFloat64() // of one sensor, lasting for a window
				for k := 0.0; k < trustWindowS; k++ {
					w.add(e, 1, 1)
				}
			}
			n++
			if f := w.squares.factor(); f > 1 {
				wide++
				must.Need(t, f <= widenMost && f >= math.Sqrt(trustMost), "factor %v", f)
			}
		}
		share := wide / n
		must.Be(t, share >= c.least && share <= c.most, "errors %g times as large as believed: widened in %.1f %% of %g", c.times, 100*share, n)
	}
}

// One reading alone, and readings that are not known, are no verdict.
func TestTooSureOnlyOnEvidence(t *testing.T) {
	var q squares
	q.note(100)
	must.Be(t, q.factor() == 1, "one reading widens the band")
	var w innovations
	for range 1000 {
		w.add(math.NaN(), 1, 1)
		w.add(1, math.NaN(), 1)
	}
	must.Be(t, w.squares.n == 0, "unknown innovations count")
}

// A gas probe that reads off for good is told as what it is.
func TestTooSureNames(t *testing.T) {
	o := New(known(6, false))
	o.Start(ambientK, ambientK, 10e5, false)
	for s := 0.0; s < 200; s += stepS {
		o.Predict(10e5, 10e5, ambientK, stepS)
		o.CorrectGas(o.Estimate().State.BeadK+o.Estimate().BiasK+8, stepS)
	}
	factor, who := o.TooSure()
	must.Be(t, factor > 1 && who == SaysBead, "a probe 8 K off: factor %v, says %d", factor, who)
}
