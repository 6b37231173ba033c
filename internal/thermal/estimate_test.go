package thermal

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// drawEstimate is an estimate about a vessel on some variant with a random positive
// covariance.
func drawEstimate(t *rapid.T) *Estimate {
	m, p, s, _ := drawVessel(t)
	var skin [PlacesMost]bool
	var free [ParCount]bool
	for i := 0; i < m.PlaceCount; i++ {
		skin[i] = rapid.Bool().Draw(t, "skin")
	}
	for i := range free {
		free[i] = rapid.Bool().Draw(t, "free")
	}
	l := NewLayout(m, skin, free)
	b := &Estimate{Model: m, State: s, Params: p, Layout: l, Cov: make([]float64, l.N*l.N), BandFactor: 1}
	for k := 0; k < l.N; k++ {
		c := make([]float64, l.N)
		for i := range c {
			c[i] = rapid.Float64Range(-1, 1).Draw(t, "c")
		}
		for i := range c {
			for j := range c {
				b.Cov[i*l.N+j] += c[i] * c[j]
			}
		}
	}
	for i := 0; i < l.N; i++ {
		b.Cov[i*l.N+i] += 0.01
	}
	return b
}

// Pack and Unpack are inverses, and no two things share a place.
func TestLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawEstimate(t)
		l := &b.Layout
		x := make([]float64, l.N)
		for i := range x {
			x[i] = float64(i) + 0.5
		}
		s, p, bias := b.State, b.Params, 0.0
		l.Unpack(x, &s, &bias, &p)
		back := make([]float64, l.N)
		l.Pack(&s, bias, &p, back)
		for i := range x {
			must.Need(t, back[i] == x[i], "place %d came back as %v", i, back[i])
			if !(l.DifferenceStep(i) > 0) {
				t.Fatalf("place %d has nudge %v", i, l.DifferenceStep(i))
			}
		}
		must.Need(t, s.Wall[0][0] == x[l.AtWall(0, 0)] && s.OutK[0] == x[l.AtOut(0)] && bias == x[l.AtBias()],
			"a place is not where it is said to be")
		must.Need(t, l.N <= VectorMost, "vector of %d, bound %d", l.N, VectorMost)
	})
}

// The root times its transpose is the covariance.
func TestRoot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawEstimate(t)
		var r Cholesky
		r.Factorize(b)
		n := b.Layout.N
		for i := 0; i < n; i++ {
			for j := 0; j < n; j++ {
				var sum float64
				for k := 0; k < n; k++ {
					sum += r.cols[k*n+i] * r.cols[k*n+j]
				}
				d := sum - b.Cov[i*n+j]
				must.Need(t, math.Abs(d) < 1e-9*float64(n), "element %d, %d off by %g", i, j, d)
			}
		}
	})
}

// The spread of a linear figure is √(hᵀPh), and moving along by one sigma
// changes the figure by exactly that.
func TestSpreadLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawEstimate(t)
		n := b.Layout.N
		last := b.Layout.AtWall(b.Model.Sides-1, b.Model.Cells-1)
		figure := func(s *State, _ *Params) float64 {
			return 2*s.GasK - s.Wall[b.Model.Sides-1][b.Model.Cells-1] + 0.5*s.OutK[0]
		}
		h := make([]float64, n)
		h[AtGas] += 2
		h[last]--
		h[b.Layout.AtOut(0)] += 0.5
		var v float64
		for i := range h {
			for j := range h {
				v += h[i] * b.Cov[i*n+j] * h[j]
			}
		}
		var r Cholesky
		r.Factorize(b)
		along := make([]float64, n)
		value, sigma := b.WorstDirection(&r, func(s *State, p *Params) Ends { return Alike(figure(s, p)) }, along)
		want := figure(&b.State, &b.Params)
		must.Need(t, value == want, "value %v, want %v", value, want)
		must.Need(t, math.Abs(sigma/math.Sqrt(v)-1) < 1e-6, "sigma %v, want %v", sigma, math.Sqrt(v))
		s, p := b.Moved(along)
		d := figure(&s, &p) - value
		must.Need(t, math.Abs(d/sigma-1) < 1e-6, "one sigma along changes the figure by %v, want %v", d, sigma)
	})
}

// Every position has one column of the root. Those behind wallFeels move no peak, and
// those behind placesFeel no wall at a place: what is not asked would say nothing.
func TestWallFeelsNoSensor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawEstimate(t)
		l := &b.Layout
		const pPa = 20e5
		figures := func(s State, p Params) (peakK float64, places []PlaceK, hottestK float64) {
			run := b.Model.Forecast(s, &p, pPa, Plan{RampPaS: 1e4, TargetPa: 40e5, HorizonS: 600, AmbientK: 290}, nil)
			places = make([]PlaceK, l.Places)
			return run.PeakK, places, b.Model.Walls(&s, &p, 20, 0.002, places).HottestK()
		}
		peakK, places, hottestK := figures(b.State, b.Params)
		seen := map[uint8]bool{}
		for i, at := range l.order[:l.N] {
			seen[at] = true
			move := make([]float64, l.N)
			move[at] = 0.3
			p, w, h := figures(b.Moved(move))
			must.Need(t, i < l.wallFeels || p == peakK, "position %d moves the peak from %v to %v", at, peakK, p)
			must.Need(t, i < l.placesFeel || h == hottestK && slices.Equal(w, places), "position %d moves the walls from %v to %v", at, places, w)
		}
		must.Need(t, len(seen) == l.N && l.wallFeels > 2 && l.wallFeels <= l.placesFeel && l.placesFeel < l.N,
			"%d positions in order of %d, %d and %d of them felt", len(seen), l.N, l.wallFeels, l.placesFeel)
	})
}

// The band is two sigma of all, widened outside the range, never narrowed.
func TestBand(t *testing.T) {
	b := &Estimate{DiscrepancyK: 0.3, BandFactor: 1}
	must.Near(t, "band", b.Band(0.4, 0), 1.0, 1e-12)
	b.BandFactor = 2.5
	must.Near(t, "widened", b.Band(0.4, 0), 2.5, 1e-12)
	b.BandFactor = 0.1
	must.Near(t, "never narrowed", b.Band(0.4, 0), 1.0, 1e-12)
}

// A wall that follows an outside which wanders has the variance of the integral,
// here taken by adding up steps of the exact response; and the sky wanders no
// further than it has in a quarter of an hour.
func TestBandAhead(t *testing.T) {
	m := testModel(1)
	b := &Estimate{Model: m, BandFactor: 1}
	b.Params = testParams(30, 15)
	tau := m.AreaHeatJM2K / 15
	for _, ahead := range []float64{10, 60, 300, 900} {
		const n = 20000
		var v float64
		for i := range n {
			u := (float64(i) + 0.5) * ahead / n
			response := 1 - math.Exp(-u/tau)
			v += b.SunDriftK() * b.SunDriftK() * response * response * ahead / n
		}
		must.Near(t, "band ahead", b.Band(0, ahead), 2*math.Sqrt(v), 1e-5)
	}
	must.Near(t, "bounded", b.Band(0, 1e6), b.Band(0, driftMostS), 0)
}
