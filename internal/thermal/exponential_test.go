package thermal

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// What ln and exp take off tables is what package math says, to 10⁻¹²: over every
// part of the tables, at their borders, and as far as anything asks.
func TestExponentialKeepsToMath(t *testing.T) {
	check := func(x float64) {
		if x > 0 {
			got, want := ln(x), math.Log(x)
			must.Need(t, math.Abs(got-want) <= 1e-12*max(1, math.Abs(want)), "ln(%v) = %v, package math %v", x, got, want)
		}
		if math.Abs(x) <= expMost {
			got, want := exp(x), math.Exp(x)
			must.Need(t, math.Abs(got-want) <= 1e-12*want, "exp(%v) = %v, package math %v", x, got, want)
		}
	}
	const border = math.Ln2 / (2 * tableParts)
	for i := -4 * tableParts; i <= 4*tableParts; i++ {
		for _, x := range []float64{1 + float64(i)/tableParts, float64(i) * border} {
			check(x)
			check(math.Nextafter(x, math.Inf(1)))
			check(math.Nextafter(x, math.Inf(-1)))
		}
	}
	for _, x := range []float64{1e-300, 1e-3, 0.25, 1e4, 1e300, math.MaxFloat64, expMost, -expMost} {
		check(x)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(rapid.Float64Range(-expMost, expMost).Draw(t, "x"))
		check(math.Exp(rapid.Float64Range(-700, 700).Draw(t, "ln")))
	})
}

// A power made of the two, as the film law asks for it, is that of package math to
// 10⁻¹² over every difference and exponent that a film may have.
func TestPowerKeepsToMath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(0.25, 1e6).Draw(t, "ΔT²")
		y := rapid.Float64Range(-1, 1).Draw(t, "exponent")
		got, want := exp(y*ln(x)), math.Pow(x, y)
		must.Need(t, math.Abs(got-want) <= 1e-12*want, "%v^%v = %v, package math %v", x, y, got, want)
	})
}

// What is not known is not known afterwards, and what is beyond any film stays finite.
func TestExponentialOfUnknown(t *testing.T) {
	for _, x := range []float64{ln(math.NaN()), exp(math.NaN()), exp(ln(math.NaN()))} {
		must.Be(t, math.IsNaN(x), "of NaN came %v", x)
	}
	if x := ln(math.Inf(1)); !math.IsInf(x, 1) {
		t.Errorf("ln ∞ = %v", x)
	}
	for _, x := range []float64{800, math.Inf(1)} {
		if got, want := exp(x), math.Exp(expMost); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("exp(%v) = %v, not %v", x, got, want)
		}
		if got, want := exp(-x), math.Exp(-expMost); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("exp(%v) = %v, not %v", -x, got, want)
		}
	}
}

func BenchmarkExponential(b *testing.B) {
	xs := make([]float64, 1024)
	for i := range xs {
		xs[i] = 0.25 + float64(i*i%997)
	}
	var sum float64
	b.Run("tables", func(b *testing.B) {
		for i := range b.N {
			sum += exp(0.15 * ln(xs[i&1023]))
		}
	})
	b.Run("math", func(b *testing.B) {
		for i := range b.N {
			sum += math.Exp(0.15 * math.Log(xs[i&1023]))
		}
	})
	if sum == 0 {
		b.Fatal("nothing was summed")
	}
}
