package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
)

// An exact line is found exactly, whatever its rhythm, with no scatter.
func TestSlopeExact(t *testing.T) {
	t.Parallel()
	for _, stepS := range []float64{0.05, 0.2, 1, 5, 30} {
		var s slope
		for i := 0; i < 60; i++ {
			x := float64(i) * stepS
			s.add(x, 3e5+750*x)
		}
		f := s.line(RampS)
		end := 3e5 + 750*59*stepS
		if math.Abs(f.PaS-750) > 1e-6 || math.Abs(f.EndPa-end) > 1e-4 || f.Sigma > 1e-6 {
			// The kept window of fast blocks may be too short for a slope.
			if stepS*float64(slopeKeep-1) < spanShare*RampS && math.IsNaN(f.PaS) {
				continue
			}
			t.Errorf("every %g s: slope %v, end %v, sigma %v; want 750, %v, 0", stepS, f.PaS, f.EndPa, f.Sigma, end)
		}
	}
}

// The slope's sigma is what least squares says: σ/√Σ(x−x̄)², and the slopes
// of many draws scatter by as much (Draper & Smith, Applied Regression
// Analysis, ch. 1; from memory).
func TestSlopeNoise(t *testing.T) {
	t.Parallel()
	const sigma, stepS, draws = 2000.0, 0.2, 2000
	r := rand.New(rand.NewPCG(11, 1))
	var sum, sq, claimed float64
	for range draws {
		var s slope
		for i := 0; i <= 20; i++ {
			s.add(float64(i)*stepS, 20e5+sigma*r.NormFloat64())
		}
		f := s.line(RampS)
		sum, sq, claimed = sum+f.PaS, sq+f.PaS*f.PaS, claimed+f.Sigma*f.Sigma
	}
	n, sxx := 0.0, 0.0
	for x := 0.0; x <= RampS+1e-9; x += stepS {
		n++
	}
	for i := 0.0; i < n; i++ {
		sxx += (i - (n-1)/2) * (i - (n-1)/2) * stepS * stepS
	}
	want := sigma / math.Sqrt(sxx)
	if got := math.Sqrt(sq / draws); math.Abs(got/want-1) > 0.06 {
		t.Errorf("slopes scatter by %.1f Pa/s, least squares says %.1f", got, want)
	}
	// The greater of two estimates of it leans a little to the safe side.
	if got := math.Sqrt(claimed / draws); got < 0.97*want || got > 1.2*want {
		t.Errorf("claimed sigma %.1f Pa/s, least squares says %.1f", got, want)
	}
	must.Be(t, math.Abs(sum/draws) <= 4*want/math.Sqrt(draws), "slopes of level pressure are biased by %.1f Pa/s", sum/draws)
}

// After a gap what was before it does not count, and no slope is claimed from
// two points close together.
func TestSlopeGap(t *testing.T) {
	t.Parallel()
	var s slope
	for i := 0; i <= 20; i++ {
		s.add(float64(i)*0.2, 20e5)
	}
	for i := 0; i <= 20; i++ {
		at := 20 + float64(i)*0.2
		s.add(at, 5e5+1000*float64(i)*0.2)
		f := s.line(RampS)
		switch {
		case float64(i)*0.2 < spanShare*RampS-1e-9:
			must.Be(t, math.IsNaN(f.PaS), "%.1f s after the gap a slope of %.0f Pa/s is claimed", float64(i)*0.2, f.PaS)
			must.Be(t, math.Abs(f.EndPa-(5e5+200*float64(i))) <= 1, "%.1f s after the gap the end is %.0f Pa", float64(i)*0.2, f.EndPa)
		case math.Abs(f.PaS-1000) > 1e-6:
			t.Errorf("%.1f s after the gap the slope is %v, want 1000", float64(i)*0.2, f.PaS)
		}
	}
}

func TestSlopeEmpty(t *testing.T) {
	t.Parallel()
	var s slope
	if f := s.line(RampS); !math.IsNaN(f.PaS) || !math.IsNaN(f.EndPa) {
		t.Errorf("a slope from nothing: %+v", f)
	}
	s.add(0, 1e5)
	if f := s.line(RampS); !math.IsNaN(f.PaS) || f.EndPa != 1e5 {
		t.Errorf("a slope from one point: %+v", f)
	}
}
