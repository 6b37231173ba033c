package monitor

import (
	"fillwright/internal/phase"
	"math"
	"math/rand/v2"
	"testing"
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
		f := s.line(rampS)
		end := 3e5 + 750*59*stepS
		if math.Abs(f.paS-750) > 1e-6 || math.Abs(f.endPa-end) > 1e-4 || f.sigma > 1e-6 {
			// The kept window of fast blocks may be too short for a slope.
			if stepS*float64(slopeKeep-1) < spanShare*rampS && math.IsNaN(f.paS) {
				continue
			}
			t.Errorf("every %g s: slope %v, end %v, sigma %v; want 750, %v, 0", stepS, f.paS, f.endPa, f.sigma, end)
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
		f := s.line(rampS)
		sum, sq, claimed = sum+f.paS, sq+f.paS*f.paS, claimed+f.sigma*f.sigma
	}
	n, sxx := 0.0, 0.0
	for x := 0.0; x <= rampS+1e-9; x += stepS {
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
	if math.Abs(sum/draws) > 4*want/math.Sqrt(draws) {
		t.Errorf("slopes of level pressure are biased by %.1f Pa/s", sum/draws)
	}
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
		f := s.line(rampS)
		switch {
		case float64(i)*0.2 < spanShare*rampS-1e-9:
			if !math.IsNaN(f.paS) {
				t.Errorf("%.1f s after the gap a slope of %.0f Pa/s is claimed", float64(i)*0.2, f.paS)
			}
			if math.Abs(f.endPa-(5e5+200*float64(i))) > 1 {
				t.Errorf("%.1f s after the gap the end is %.0f Pa", float64(i)*0.2, f.endPa)
			}
		case math.Abs(f.paS-1000) > 1e-6:
			t.Errorf("%.1f s after the gap the slope is %v, want 1000", float64(i)*0.2, f.paS)
		}
	}
}

// Rows that come every second, or every 30 s as from a table, have a ramp and
// a phase too.
func TestSlowData(t *testing.T) {
	t.Parallel()
	for _, periodMS := range []uint32{1000, 5000, 30_000} {
		s := newStand(t, onsetFarC)
		s.periodMS = periodMS
		s.hello()
		period := float64(periodMS) / 1000
		s.run(math.Max(10, 3*period), 0)
		got := s.run(math.Max(30, 5*period), 12*barPerMin)
		if math.Abs(got.RampPaS/(12*barPerMin)-1) > 0.05 || got.Phase != phase.Filling {
			t.Errorf("every %g s: ramp %.2f bar/min, %s; want 12, filling", period, got.RampPaS/barPerMin, got.Phase)
		}
		got = s.run(math.Max(30, 5*period), 0)
		if got.Phase != phase.Holding {
			t.Errorf("every %g s after the fill: %s", period, got.Phase)
		}
		if math.Abs(got.GasK-s.state.GasK) > 3 {
			t.Errorf("every %g s: gas %.1f K, true %.1f K", period, got.GasK, s.state.GasK)
		}
	}
}

func TestSlopeEmpty(t *testing.T) {
	t.Parallel()
	var s slope
	if f := s.line(rampS); !math.IsNaN(f.paS) || !math.IsNaN(f.endPa) {
		t.Errorf("a slope from nothing: %+v", f)
	}
	s.add(0, 1e5)
	if f := s.line(rampS); !math.IsNaN(f.paS) || f.endPa != 1e5 {
		t.Errorf("a slope from one point: %+v", f)
	}
}
