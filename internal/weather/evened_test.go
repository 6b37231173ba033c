package weather

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// TestEvened proves what conduction makes of a lit ring against its Fourier series,
// max(cos θ, 0) = 1/π + cos θ/2 + (2/π) Σ (−1)^(m+1) cos 2mθ/(4m² − 1), each term over
// 1 + n² κ: the exact solution by another way.
func TestEvened(t *testing.T) {
	for _, kappa := range []float64{0.02, 0.1, 0.25, 1, 4} {
		series := func(theta float64) float64 {
			sum := 1/math.Pi + 0.5*math.Cos(theta)/(1+kappa)
			for m := 1.0; m < 2000; m++ {
				sum -= 2 / math.Pi * math.Cos(math.Pi*m) * math.Cos(2*m*theta) / (4*m*m - 1) / (1 + 4*m*m*kappa)
			}
			return sum
		}
		peak, dark := evened(kappa)
		near(t, "sunniest line", peak, series(0), 1e-6)
		near(t, "darkest line", dark, series(math.Pi), 1e-6)
	}
	peak, dark := evened(0)
	must.Be(t, peak == 1 && dark == 0, "a wall that conducts nothing: %g and %g", peak, dark)
}

// TestEvenedKeepsTheMean proves that what the sunniest line loses the others get: the
// mean round the tube stays, and a wall that conducts well is of one temperature.
func TestEvenedKeepsTheMean(t *testing.T) {
	g := Gains{ShadeK: 2, LitK: 20, LitMean: 1 / math.Pi, OutsideWM2K: 17}
	for _, kappa := range []float64{0, 0.1, 0.3, 2, 1e4} {
		e := g.Evened(kappa)
		near(t, "mean", e.ShadeK+e.LitMean*e.LitK, 2+20/math.Pi, 1e-9)
		must.Be(t, e.LitK <= g.LitK, "the sun makes more of a wall that conducts: %+v", e)
	}
	near(t, "a wall that conducts well", g.Evened(1e4).LitK, 0, 0.01)
}
