package estimate

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// A thin wall has come to what sun and air make of it by the first reading, a thick
// one has not: how far it has gone is the less sure, the slower it follows (1 − e^(−t/τ)
// of a first-order lag; textbook).
func TestWarmedByTimeConstant(t *testing.T) {
	lastMean, lastSigma := 1.0, 0.0
	for _, tauS := range []float64{60, 150, 300, 600} {
		mean, sigma := warmed(tauS)
		must.Be(t, mean < lastMean && sigma > lastSigma && mean > 0, "τ %.0f s: %.2f ± %.2f, before it %.2f ± %.2f", tauS, mean, sigma, lastMean, lastSigma)
		lastMean, lastSigma = mean, sigma
	}
	thin, thinSigma := warmed(60)
	must.Be(t, thin > 0.95 && thinSigma < 0.1, "after ten minutes a wall of 60 s has gone %.2f ± %.2f of the way", thin, thinSigma)
}

// Sun that came out three minutes before the first reading: two readings 80 s apart
// tell the wall, and what it goes to lies within the band of the sunny side's outside,
// whether the model has seen sun before or not.
func TestSunThatCameOutJustBefore(t *testing.T) {
	cfg := config(6, false)
	cfg.Gains.Lit = thermal.Normal{MeanK: 2, SigmaK: 25} // learned in the shade
	cfg.Model.AreaHeatJM2K *= 1.5                        // a thick wall
	o := New(cfg)
	o.Start(ambientK, ambientK, 101325, false)
	b := o.Estimate()
	tauS, outK, sinceS := b.OutsideTauS(), ambientK+26.0, 180.0
	for i := range 120 {
		o.Predict(101325, 101325, ambientK, 1)
		if i == 20 || i == 100 {
			wallK := outK - (outK-ambientK)*math.Exp(-(sinceS+float64(i))/tauS)
			must.Be(t, o.CorrectSurface(0, b.Params.HandK(wallK, ambientK), float64(i)) != UseImpossible, "%d s: not taken", i)
		}
	}
	at := b.Layout.AtOut(thermal.SideSun)
	sigma := math.Sqrt(b.Cov[at*b.Layout.N+at])
	must.Be(t, math.Abs(b.State.OutK[thermal.SideSun]-outK) < sigma && sigma < 8,
		"the sunny side goes to %.1f ± %.1f K, in truth to %.1f", b.State.OutK[thermal.SideSun], 2*sigma, outK)
}

// Where a sunny wall is hotter than the gas under it and the shaded one colder, gas
// lies still, and the difference of the two is less sure than where the gas is the
// hottest; along a standing vessel it is not.
func TestStillGasIsUnsure(t *testing.T) {
	held := func(gasK float64, standing bool) float64 {
		cfg := config(6, false)
		cfg.Model.Standing = standing
		o := New(cfg)
		o.Start(ambientK, ambientK, 30e5, true)
		for range 120 {
			s := &o.Estimate().State
			s.GasK = gasK
			for j := range 6 {
				s.Wall[thermal.SideSun][j], s.Wall[thermal.SideShade][j] = ambientK+25, ambientK+5
			}
			o.Predict(30e5, 30e5, ambientK, 1)
		}
		b := o.Estimate()
		at := b.Layout.AtExcess()
		return math.Sqrt(b.Cov[at*b.Layout.N+at])
	}
	still, stirred, stands := held(ambientK+15, false), held(ambientK+40, false), held(ambientK+15, true)
	must.Be(t, still > 2*stands && still > stirred, "excess known to %.2f K in still gas, %.2f in hot gas, %.2f in a standing vessel", still, stirred, stands)
}

// A tracker that begins within a fill, as it does after a gap in which the pressure
// went elsewhere, knows what sensors on the wall read from its first block on; where
// nobody reads the wall it may be at any temperature.
func TestSensorsSpeakFromTheFirstBlock(t *testing.T) {
	for _, watched := range []bool{true, false} {
		cfg := config(6, watched)
		tr := NewTracker(cfg, 101325)
		s := Unread()
		s.PressurePa, s.BeadK, s.AmbientK = 20e5, ambientK+25, ambientK
		wallK := ambientK + 12
		for i := range cfg.Model.Places {
			s.SkinK[i] = wallK
		}
		must.Need(t, tr.Add(100, &s, true) && tr.Advance(false) == Goes && tr.Started(), "it has not begun")
		var walls [thermal.PlacesMost]Wall
		hot := tr.Walls(1, walls[:len(cfg.Model.Places)])
		if watched {
			must.Be(t, hot.BandK < 10 && math.Abs(hot.ValueK-wallK) < hot.BandK, "hottest %.1f ± %.1f K beside sensors at %.1f", hot.ValueK, hot.BandK, wallK)
		} else {
			must.Be(t, hot.BandK > 15, "nobody reads the wall, and it is known to ±%.1f K", hot.BandK)
		}
	}
}
