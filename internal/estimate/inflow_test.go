package estimate

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// inflowOf is the inflow's parameter with its sigma.
func inflowOf(o *Filter) (meanK, sigmaK float64) {
	b := o.Estimate()
	at := b.Layout.AtPar(thermal.ParInflow)
	return b.Params[thermal.ParInflow], math.Sqrt(b.Cov[at*b.Layout.N+at])
}

// A model is used with what it was learned on, and its correlations stay; on
// any other base only the handbook's wide word is left. Both ways.
func TestInflowBase(t *testing.T) {
	supplies := map[thermal.Inlet]thermal.Supply{
		thermal.InletAmbient: {}, thermal.InletThrottled: {PressurePa: 200e5}, thermal.InletMeasured: {TempK: 280},
	}
	for learned := range thermal.InletCount {
		for used, supply := range supplies {
			cfg := config(6, false)
			cfg.Inlet = learned
			cfg.Params[thermal.ParInflow] = 12
			cfg.ParCov[thermal.ParInflow][thermal.ParInflow] = 1.5 * 1.5
			cfg.ParCov[thermal.ParInflow][thermal.ParLnFilm], cfg.ParCov[thermal.ParLnFilm][thermal.ParInflow] = 0.3, 0.3
			o := New(cfg)
			o.Feed(supply)
			o.Start(ambientK, ambientK, 101325, false)
			mean, sigma := inflowOf(o)
			wantMean, wantSigma := 12.0, 1.5
			if used != learned {
				wantMean, wantSigma = thermal.InflowPrior(used)
			}
			must.Be(t, mean == wantMean && math.Abs(sigma-wantSigma) <= 1e-9 && o.Rebased() == (used != learned),
				"learned on %v, used on %v: %.1f ± %.1f K, want %.1f ± %.1f", learned, used, mean, sigma, wantMean, wantSigma)
			checkCov(t, o.Estimate())
			l := &o.Estimate().Layout
			cross := o.Estimate().Cov[l.AtPar(thermal.ParInflow)*l.N+l.AtPar(thermal.ParLnFilm)]
			must.Be(t, (cross == 0.3) == (used == learned), "learned on %v, used on %v: inflow goes with the film by %g", learned, used, cross)
		}
	}
}

// A supply sensor that fails in the middle of a fill does not move the
// inflow's temperature, only its doubt; one that comes before any gas has
// flowed starts anew. A clone does the same.
func TestSupplyLostOnTheWay(t *testing.T) {
	o := New(config(6, false))
	o.Feed(thermal.Supply{PressurePa: 200e5})
	o.Start(ambientK, ambientK, 101325, false)
	p := 101325.0
	for i := 0; i < 100; i++ {
		o.Predict(p, p+20e3, ambientK, 0.5)
		p += 20e3
		o.CorrectGas(ambientK+2, 0.5)
	}
	m, s := o.Estimate().Model, o.Estimate().State
	mean, sigma := inflowOf(o)
	inlet := m.InletK(&s, p, ambientK) + mean
	must.Be(t, inlet < ambientK-5, "inflow at %.1f K from 200 bar, ambient %.1f K", inlet, ambientK)
	_, widest := thermal.InflowPrior(thermal.InletThrottled)
	clone := o.Clone()
	for _, o := range []*Filter{o, clone} {
		o.Feed(thermal.Supply{})
		after, wider := inflowOf(o)
		must.Be(t, math.Abs(ambientK+after-inlet) <= 1e-6 && wider >= sigma && wider >= math.Min(5, sigma+3),
			"inflow at %.2f ± %.2f K after the sensor failed, before %.2f ± %.2f K", ambientK+after, wider, inlet, sigma)
		for i := 0; i < 20; i++ { // a loose plug does not widen without end
			o.Feed(thermal.Supply{PressurePa: 200e5})
			o.Feed(thermal.Supply{})
		}
		back, end := inflowOf(o)
		must.Be(t, math.Abs(back-after) <= 0.01 && end <= widest+0.1, "after a loose plug: %.2f ± %.2f K, before %.2f", back, end, after)
		checkCov(t, o.Estimate())
	}
	fresh := New(config(6, false))
	fresh.Start(ambientK, ambientK, 101325, false)
	fresh.Feed(thermal.Supply{PressurePa: 200e5})
	mean, sigma = inflowOf(fresh)
	wantMean, wantSigma := thermal.InflowPrior(thermal.InletThrottled)
	must.Be(t, mean == wantMean && math.Abs(sigma-wantSigma) <= 1e-9, "a supply that comes up before the fill: %.1f ± %.1f K", mean, sigma)
}

// A bead that is faster than the model has it, as a jet makes it, reads far off for the
// first seconds of a fast fill. That says little of the gas that comes in: the estimate
// of the gas follows, what comes in is not taken for warmer.
func TestFirstSecondsSayLittleOfTheInflow(t *testing.T) {
	w := newTwin(config(6, false), 3, 101325)
	w.truth, w.par, w.bias = w.o.Estimate().State, w.o.Estimate().Params, 0
	w.par[thermal.ParLnBead] -= 0.9 // four tenths of the lag
	before, sigma := inflowOf(w.o)
	mostK := 0.0
	for range 40 {
		w.step(100e3, func(k float64) (float64, bool) { return k, true })
		after, _ := inflowOf(w.o)
		mostK = math.Max(mostK, math.Abs(w.o.bias))
		must.Be(t, math.Abs(after-before) < 0.1*sigma, "the inflow went from %.1f to %.1f K, one sigma is %.1f", before, after, sigma)
	}
	must.Be(t, mostK > 1.5, "the bead never lay more than %.1f K off, too little to tell", mostK)
}
