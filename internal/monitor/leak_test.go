package monitor

import (
	"fillwright/internal/phase"
	"math"
	"math/rand/v2"
	"testing"
)

// inventory is a leak watch fed with a synthetic inventory, one point a
// second, of a gas that keeps its temperature.
func inventory(n int, massKg func(i int) float64) *leakWatch {
	w := &leakWatch{}
	w.restart(0)
	for i := range n {
		w.add(phase.StirredS+float64(i), massKg(i), 300)
	}
	return w
}

// An inventory that falls in a straight line loses just that much.
func TestLeakRateExact(t *testing.T) {
	t.Parallel()
	for _, lossKgS := range []float64{0, 1e-5, 5e-5, 1e-3} {
		w := inventory(120, func(i int) float64 { return 0.48 - lossKgS*float64(i) })
		loss, band, ok := w.rate()
		if !ok || math.Abs(loss-lossKgS) > 1e-12 || !(band > 0) {
			t.Errorf("loss of %g kg/s: %g ± %g, %v", lossKgS, loss, band, ok)
		}
	}
}

// Nothing is said of a hold before the gas has come to rest and the span is
// long enough.
func TestLeakNotYet(t *testing.T) {
	t.Parallel()
	w := &leakWatch{}
	w.restart(100)
	if w.add(100+phase.StirredS-0.1, 0.48, 300) {
		t.Error("a point was taken while the gas is still stirred")
	}
	for i := range int(leakSpanS) {
		w.add(100+phase.StirredS+float64(i), 0.48, 300)
		if _, _, ok := w.rate(); ok {
			t.Fatalf("a rate from a span of %d s", i)
		}
	}
	w.add(100+phase.StirredS+leakSpanS, 0.48, 300)
	if _, _, ok := w.rate(); !ok {
		t.Errorf("no rate from a span of %g s", leakSpanS)
	}
}

// The ring is bounded and forgets: a leak that was plugged long ago is gone.
func TestLeakForgets(t *testing.T) {
	t.Parallel()
	w := inventory(1000, func(i int) float64 { return 0.48 - 1e-3*math.Min(float64(i), 500) })
	loss, _, _ := w.rate()
	if w.n != leakKeep || math.Abs(loss) > 1e-12 {
		t.Errorf("%d points, loss %g kg/s 500 s after the leak ended", w.n, loss)
	}
	if span := w.t[w.n-1] - w.t[0]; math.Abs(span-(leakKeep-1)) > 1e-9 {
		t.Errorf("looks back on %g s", span)
	}
}

// The band is two sigma: noise of an inventory, correlated over up to the
// time that is allowed for, stays within it at least as often as two sigma
// means (95.4 % of a normal distribution), whatever its size.
func TestLeakBandCovers(t *testing.T) {
	t.Parallel()
	const holds = 400
	for _, c := range []struct{ sigmaKg, correlS float64 }{{2e-4, 0}, {2e-3, 0}, {2e-3, 2}, {2e-3, 4}} {
		r := rand.New(rand.NewPCG(3, uint64(c.correlS)))
		keep := 0.0
		if c.correlS > 0 {
			keep = math.Exp(-2 / c.correlS) // integral time of an AR(1) noise is half the time of its pairs
		}
		out := 0
		for range holds {
			x := r.NormFloat64()
			w := inventory(120, func(int) float64 {
				x = keep*x + math.Sqrt(1-keep*keep)*r.NormFloat64()
				return 0.48 + c.sigmaKg*x
			})
			if loss, band, ok := w.rate(); !ok || math.Abs(loss) > band {
				out++
			}
		}
		if share := float64(out) / holds; share > 0.046+0.02 {
			t.Errorf("noise of %g kg over %g s: %.1f %% outside of the band", c.sigmaKg, c.correlS, 100*share)
		}
	}
}

// A gas temperature that drifts by what the estimate may be wrong is no leak:
// the inventory's error is m ΔT/T (ideal gas, m = pV/RT).
func TestLeakNotFromDrift(t *testing.T) {
	t.Parallel()
	for _, changeK := range []float64{0, 10, 30} {
		w := &leakWatch{}
		w.restart(0)
		wrongK := leakTempK + leakTempPart*changeK
		for i := range 120 {
			at := float64(i) / 119
			gasK := 330 - changeK*at
			w.add(phase.StirredS+float64(i), 0.48*(1-wrongK*at/gasK), gasK)
		}
		if loss, band, _ := w.rate(); loss > band {
			t.Errorf("gas that cooled by %g K, wrong by one sigma: loss %g ± %g kg/s", changeK, loss, band)
		}
	}
}

// On a tight hold of the pad no leak is called; when gas goes, its rate is
// found to within its band and it is called within three minutes.
func TestLeakOnHold(t *testing.T) {
	t.Parallel()
	for _, lossGMin := range []float64{0, 6} {
		s := vented(t, onsetFarC)
		s.fill(24*barPerMin, 38*testBar)
		calledS := math.NaN()
		start := s.last.TimeS
		for n := 0; n < 1800; n++ {
			s.sampleOf()
			s.pad(0)
			// What leaks takes its share of the pressure with it.
			mass := s.model.MassKg(s.state.GasK, s.absPa)
			s.absPa *= 1 - lossGMin/6e4*0.1/mass
			if s.last.Leak.Significant && math.IsNaN(calledS) {
				calledS = s.last.TimeS - start
			}
		}
		l := s.last.Leak
		if math.Abs(l.RateKgS*6e4-lossGMin) > l.BandKgS*6e4 {
			t.Errorf("losing %g g/min: found %.2f ± %.2f", lossGMin, l.RateKgS*6e4, l.BandKgS*6e4)
		}
		if called := !math.IsNaN(calledS); called != (lossGMin > 0) || calledS > 180 {
			t.Errorf("losing %g g/min: called after %.0f s", lossGMin, calledS)
		}
		if lossGMin > 0 && !present(&s.last, "leak") {
			t.Errorf("losing %g g/min: no alarm: %+v", lossGMin, s.last.Alarms)
		}
	}
}

// Another phase makes what was found of the hold before unknown.
func TestLeakUnknownInFill(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 90)
	if math.IsNaN(s.last.Leak.RateKgS) {
		t.Fatal("no rate after 90 s of hold")
	}
	s.run(10, 24*barPerMin)
	if l := s.last.Leak; !math.IsNaN(l.RateKgS) || !math.IsNaN(l.BandKgS) || l.Significant {
		t.Errorf("while filling: %+v", l)
	}
}
