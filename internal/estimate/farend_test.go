package estimate

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// What a probe and a skin sensor within the jet's reach read says nothing of an
// end that nobody reads: a fast fill in which both read off leaves what is
// believed of it, and how surely, alone. A reading taken there, by a sensor or by
// hand, moves it, and so does the skin sensor where fills have read that end.
func TestFarEndUnread(t *testing.T) {
	filled := func(farSensor, taught bool) *Filter {
		cfg := config(6, false)
		cfg.FarTaught = taught
		m := cfg.Model
		m.FarShare = 0.4
		m.Places[2] = thermal.Place{Sun: 1, LocalK: 0.5, OfFar: 1}
		m.PlaceCount = 3
		cfg.Skin[0], cfg.Skin[2] = true, farSensor
		o := New(cfg)
		o.Start(ambientK, ambientK, 1e5, false)
		for p := 1e5; p < 30e5; p += 0.1e5 {
			o.Predict(p, p+0.1e5, ambientK, stepS)
			o.CorrectGas(o.estimate.State.BeadK-3, stepS)
			o.CorrectSkin(0, o.estimate.State.SkinK[0]-1, stepS)
			o.CorrectSkin(2, o.estimate.State.SkinK[2]+2, stepS)
		}
		return o
	}
	far := func(o *Filter) (mean, variance float64) {
		at := o.estimate.Layout.AtPar(thermal.ParFar)
		return o.estimate.Params[thermal.ParFar], o.estimate.Cov[at*o.estimate.Layout.N+at]
	}
	prior := config(6, false)
	o := filled(false, false)
	mean, variance := far(o)
	must.Be(t, mean == prior.Params[thermal.ParFar] && variance == prior.ParCov[thermal.ParFar][thermal.ParFar],
		"a far end that nobody reads is believed to be %.3f, variance %.4f; before the fill %.3f, %.4f",
		mean, variance, prior.Params[thermal.ParFar], prior.ParCov[thermal.ParFar][thermal.ParFar])
	checkCov(t, o.Estimate())
	hotter := o.estimate.Model.At(&o.estimate.State, &o.estimate.Params, 2, o.flow.DensityKgM3, 0).OuterK + 1
	o.CorrectSurface(2, hotter, 100)
	if more, surer := far(o); !(more > mean && surer < variance) {
		t.Errorf("a hotter reading there by hand takes it from %.3f, variance %.4f, to %.3f, %.4f", mean, variance, more, surer)
	}
	if more, surer := far(filled(true, false)); !(more > mean && surer < variance) {
		t.Errorf("a hotter sensor there takes it from %.3f, variance %.4f, to %.3f, %.4f", mean, variance, more, surer)
	}
	// A colder wall near the inlet is what a greater share leaves there.
	if more, surer := far(filled(false, true)); !(more > mean && surer < variance) {
		t.Errorf("where fills read that end, a colder sensor near the inlet takes it from %.3f, variance %.4f, to %.3f, %.4f", mean, variance, more, surer)
	}
}
