package estimate

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// A second gas probe beyond the jet's reach tells of the wall there. On vessels
// drawn from what is not known, whose sunny line is read near the inlet, its band at
// the far end is narrower with the probe than without, and the truth lies in it.
func TestSecondProbeTellsTheFarEnd(t *testing.T) {
	const far, draws = 1, 40
	setup := func(second bool) Config {
		c := config(6, false)
		c.Skin[0], c.DiscrepancyK = true, 0 // the model is the truth's own
		c.Model.FarShare, c.Model.Second, c.Model.SecondFar = 0.6, second, second
		c.Model.Places[far] = thermal.Place{Sun: 1, LocalK: 0.5, OfFar: 1}
		c.Params[thermal.ParFar], c.ParCov[thermal.ParFar][thermal.ParFar] = 0.4, 0.4*0.4 // the handbook's, of an end that is minded
		return c
	}
	inside, narrower, with, without := 0, 0, 0.0, 0.0
	for seed := range uint64(draws) {
		w, alone := newTwin(setup(true), seed, 101325), New(setup(false))
		alone.Start(ambientK+1, ambientK, w.pPa, false)
		w.truth.FarGasK = w.truth.GasK
		first, second := w.noisy(), w.noisy()
		var read float64
		for i := range 250 {
			fromPa, rampPaS := w.pPa, 40e3
			if i < 50 {
				rampPaS = 0
			}
			w.step(rampPaS, func(trueK float64) (float64, bool) {
				read, _ = first(trueK)
				return read, true
			})
			beside, _ := second(w.truth.SecondK + w.truth.SecondOffK)
			skin := w.truth.SkinK[0] + sigmaSkinK*w.rng.NormFloat64()
			w.o.CorrectSecond(beside, stepS)
			w.o.CorrectSkin(0, skin, stepS)
			alone.Predict(fromPa, w.pPa, ambientK, stepS)
			alone.CorrectGas(read, stepS)
			alone.CorrectSkin(0, skin, stepS)
		}
		flow := w.o.Flow()
		truthK := w.o.Estimate().Model.At(&w.truth, &w.par, far, flow.DensityKgM3, flow.InflowKgS).HottestK
		var two, one [2]Wall
		w.o.Walls(1, two[:])
		alone.Walls(1, one[:])
		got, less := two[far].Hottest, one[far].Hottest
		if math.Abs(truthK-got.ValueK) <= got.BandK {
			inside++
		}
		if got.BandK < less.BandK {
			narrower++
		}
		with, without = with+got.BandK/draws, without+less.BandK/draws
		checkCov(t, w.o.Estimate())
	}
	t.Logf("band at the far end %.2f K, without the probe %.2f K, narrower in %d of %d; truth inside in %d", with, without, narrower, draws, inside)
	must.Be(t, narrower >= draws*9/10 && with < 0.8*without, "the probe tells too little")
	must.Be(t, inside >= draws*9/10, "the truth lies outside too often")
}
