package estimate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// A hand-held reading pulls the wall by the weights of both uncertainties: the
// scalar Kalman gain v/(v + r), worked out here from the covariance of wall and
// of what is the place's own.
func TestSurfaceWeights(t *testing.T) {
	cfg := known(1, false)
	cfg.Params[thermal.ParHand] = 0
	o := New(cfg)
	o.Start(ambientK, ambientK, 101325, false)
	b := o.Estimate()
	at, own := b.Layout.AtWall(0, 0), b.Layout.AtLocal(0)
	n := b.Layout.N
	v := b.Cov[at*n+at] + b.Cov[own*n+own] + 2*b.Cov[at*n+own]
	wall, before := b.Cov[at*n+at], b.State.Wall[0][0]
	out, cross := b.State.OutK[0], b.Cov[b.Layout.AtOut(0)*n+at]
	if use := o.CorrectSurface(0, before+3, 0); use != UseTaken {
		t.Fatalf("a likely reading: %v", use)
	}
	s := v + sigmaSurfaceK*sigmaSurfaceK
	if got, want := b.State.Wall[0][0], before+3*wall/s; math.Abs(got-want) > 1e-9 {
		t.Errorf("wall at %v, want %v", got, want)
	}
	if got, want := b.Cov[at*n+at], wall-wall*wall/s; math.Abs(got-want) > 1e-9 {
		t.Errorf("variance %v, want %v", got, want)
	}
	if got, want := b.State.OutK[0], out+3*cross/s; math.Abs(got-want) > 1e-9 || got <= out {
		t.Errorf("outside at %v, want %v", got, want)
	}
	// The second reading finds a surer wall and pulls less.
	before = o.surfaceRow(0)
	pull := b.State.Wall[0][0]
	o.CorrectSurface(0, before+3, 1)
	second := (b.State.Wall[0][0] - pull) / 3
	must.Be(t, second < wall/s && second > 0, "second reading pulled by %.3f, the first by %.3f", second, wall/s)
}

// What a probe takes off is the same in all readings of a day: thirty that lie six
// per cent of wall minus air low make nobody sure of a wall that much too cold. A
// sensor on the skin beside them tells how much it is.
func TestHandLossIsOfTheDay(t *testing.T) {
	const wallK, loss = ambientK + 30, 0.06
	watch := func(skin bool) (*thermal.Estimate, thermal.PlaceK, float64) {
		cfg := config(6, skin)
		cfg.Gains.Lit = thermal.Normal{MeanK: 25, SigmaK: 15}
		o := New(cfg)
		o.Start(ambientK, ambientK, 101325, false)
		for i := range 30 {
			o.Predict(101325, 101325, ambientK, 1)
			o.CorrectSurface(0, wallK-loss*(wallK-ambientK), float64(i))
			o.CorrectSkin(0, wallK, 1)
		}
		var walls [2]Wall
		o.Walls(1, walls[:])
		b := o.Estimate()
		return b, b.Model.At(&b.State, &b.Params, 0, 1.2, 0), walls[0].Hottest.BandK
	}
	b, place, bandK := watch(false)
	sigma := func(b *thermal.Estimate) float64 {
		at := b.Layout.AtPar(thermal.ParHand)
		return math.Sqrt(b.Cov[at*b.Layout.N+at])
	}
	must.Be(t, math.Abs(place.OuterK-wallK) < bandK && place.OuterK < wallK, "the wall is taken for %.2f ± %.2f K, and is %.2f", place.OuterK, bandK, wallK)
	prior := math.Sqrt(config(6, false).ParCov[thermal.ParHand][thermal.ParHand])
	must.Be(t, sigma(b) > 0.9*prior, "the readings alone tell their loss to %.3f, before them %.3f", sigma(b), prior)
	told, _, _ := watch(true)
	must.Be(t, sigma(told) < 0.8*prior && told.Params[thermal.ParHand] > b.Params[thermal.ParHand],
		"a sensor beside them has the loss at %.3f ± %.3f, before it %.3f ± %.3f", told.Params[thermal.ParHand], sigma(told), b.Params[thermal.ParHand], sigma(b))
}

// A reading that sun, gas and air do not allow changes nothing.
func TestSurfaceImpossible(t *testing.T) {
	for _, reading := range []float64{900, 463.15, 100, -5, math.NaN(), math.Inf(1)} {
		o := New(config(6, false))
		o.Start(ambientK, ambientK, 101325, false)
		before := o.Clone()
		must.Equal(t, o.CorrectSurface(1, reading, 0), UseImpossible, "%v K", reading)
		must.Be(t, o.Estimate().State == before.Estimate().State && o.Estimate().Params == before.Estimate().Params,
			"%v K moved the estimate", reading)
		for i, v := range o.Estimate().Cov {
			must.Need(t, v == before.Estimate().Cov[i], "%v K changed the covariance", reading)
		}
	}
}

// sure is an observer that has seen its wall for a while and is sure of it.
func sure(t *testing.T) *Filter {
	t.Helper()
	o := New(known(6, false))
	o.Start(ambientK, ambientK, 101325, false)
	for i := range 8 {
		for k := range 20 {
			o.Predict(101325, 101325, ambientK, 1)
			_ = k
		}
		for place := range 2 {
			if use := o.CorrectSurface(place, o.surfaceRow(place), float64(20*i)); use != UseTaken {
				t.Fatalf("a reading just as believed: %v", use)
			}
		}
	}
	return o
}

// What a person reads hotter than was believed counts at once: the estimate goes
// most of the way, and its band holds both what was believed and what was read.
func TestHotterCountsAtOnce(t *testing.T) {
	for _, byK := range []float64{6, 9, 20} {
		o := sure(t)
		var walls [2]Wall
		o.Walls(1, walls[:])
		was := walls[0].OuterK
		if use := o.CorrectSurface(0, was+byK, 200); use != UseHotter {
			t.Fatalf("%.0f K hotter: %v", byK, use)
		}
		hottest := o.Walls(1, walls[:])
		w := walls[0]
		must.Be(t, math.Abs(w.OuterK-was-byK) < 0.25*byK, "%.0f K hotter: the estimate went %.1f K", byK, w.OuterK-was)
		low, high := w.OuterK-w.Hottest.BandK, w.OuterK+w.Hottest.BandK
		must.Be(t, low <= was && high >= was+byK, "%.0f K hotter: band %.1f to %.1f K does not hold %.1f and %.1f", byK, low, high, was, was+byK)
		must.Be(t, hottest.ValueK > was+0.7*byK, "%.0f K hotter: hottest wall %.1f K, was %.1f", byK, hottest.ValueK, was)
		// A second reading that agrees makes it surer.
		o.CorrectSurface(0, was+byK, 210)
		wide := w.Hottest.BandK
		o.Walls(1, walls[:])
		must.Be(t, walls[0].Hottest.BandK < 0.8*wide,
			"%.0f K hotter: band %.2f K after a second reading, %.2f before", byK, walls[0].Hottest.BandK, wide)
		checkCov(t, o.Estimate())
	}
}

// A colder reading waits for a second that agrees; one that does not agree, and
// one that comes too late, start anew. Until then the estimate stays, with a band that
// holds both and reaches no higher for a second cause: a wall that may be colder is
// nothing to vent for.
func TestColderOnASecond(t *testing.T) {
	o := sure(t)
	for s := range 3 {
		o.CorrectSurface(0, o.surfaceRow(0), 170+10*float64(s))
	}
	was := o.surfaceRow(0)
	if use := o.CorrectSurface(0, was-9, 200); use != UseColder {
		t.Fatalf("first: %v", use)
	}
	if now := o.surfaceRow(0); now != was {
		t.Errorf("the estimate moved by %v K", now-was)
	}
	if k, waits := o.Waiting(0); !waits || k != was-9 {
		t.Errorf("waiting: %v, %v", k, waits)
	}
	factor, _ := o.TooSure()
	must.Equal(t, factor, 1.0, "what waits widens the band beside that by")
	must.Equal(t, o.CorrectSurface(0, was-13, 210), UseColder, "one that disagrees")
	must.Equal(t, o.CorrectSurface(0, was-13, 210+2*agreesS), UseColder, "one too late")
	must.Equal(t, o.CorrectSurface(0, was-12.5, 220+2*agreesS), UseConfirmed, "the second")
	if now := o.surfaceRow(0); !(math.Abs(now-was+12.5) < 3) {
		t.Errorf("the estimate went by %.1f K of −12.5", now-was)
	}
	if _, waits := o.Waiting(0); waits {
		t.Error("it waits still")
	}
}

// One absurd jump of an attached sensor, or of the bead, is held to a pull
// that the estimate recovers from; an unknown one is ignored.
func TestJumpHeld(t *testing.T) {
	for _, jump := range []float64{-200, 500, 1e4, math.NaN(), math.Inf(1)} {
		o := New(config(6, true))
		o.Start(ambientK, ambientK, 101325, false)
		p := 101325.0
		for i := 0; i < 500; i++ {
			o.Predict(p, p+2e3, ambientK, stepS)
			p += 2e3
			s := o.Estimate().State
			o.CorrectGas(s.BeadK, stepS)
			for k := 0; k < 2; k++ {
				o.CorrectSkin(k, s.SkinK[k], stepS)
			}
		}
		before := o.Estimate().State
		o.CorrectSkin(0, before.SkinK[0]+jump, stepS)
		o.CorrectGas(before.BeadK+jump, stepS)
		after := o.Estimate().State
		for what, d := range map[string]float64{
			"inner wall": after.Wall[0][0] - before.Wall[0][0], "outer wall": after.Wall[0][5] - before.Wall[0][5],
			"gas": after.GasK - before.GasK, "outside": after.OutK[0] - before.OutK[0],
		} {
			must.Be(t, math.Abs(d) < 2, "a jump of %v K moved the %s by %v K", jump, what, d)
		}
		checkCov(t, o.Estimate())
	}
}

// A dead bead leaves the gas to the balance: its band goes towards that of a filter
// that never had one, ever nearer, and comes back with the bead.
func TestBeadDead(t *testing.T) {
	w, never := newTwin(config(6, false), 5, 101325), New(config(6, false))
	never.Start(ambientK+1, ambientK, w.pPa, false)
	bead := w.noisy()
	step := func(times int, bead func(float64) (float64, bool)) {
		for range times {
			fromPa := w.pPa
			w.step(40e3, bead)
			never.Predict(fromPa, w.pPa, ambientK, stepS)
		}
	}
	step(200, bead)
	alive, share := w.o.GasBandK(), w.o.GasBandK()/never.GasBandK()
	for range 4 {
		step(75, silent)
		band, was := w.o.GasBandK(), share
		share = band / never.GasBandK()
		must.Be(t, share > was && share <= 1, "band %.2f of what it is without a bead, %.2f before", share, was)
		must.Be(t, band > 1.1*alive, "band %.2f K without the bead, %.2f K with it", band, alive)
	}
	last := w.o.GasBandK()
	for i := 0; i < 150; i++ {
		w.step(0, bead)
	}
	back := w.o.GasBandK()
	must.Be(t, back < last, "band %.2f K with the bead back, %.2f K without", back, last)
}

// Over long random runs (fills, holds, vents, all sensors, wild readings) the
// covariance stays symmetric and positive and the estimate finite.
func TestLongRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SampledFrom([]int{1, 2, 6}).Draw(t, "cells")
		o := New(config(cells, rapid.Bool().Draw(t, "skin")))
		p := rapid.Float64Range(1e5, 30e5).Draw(t, "p")
		o.Start(rapid.Float64Range(270, 320).Draw(t, "gas"), ambientK, p, rapid.Bool().Draw(t, "late"))
		for k := 0; k < 6; k++ {
			ramp := rapid.SampledFrom([]float64{0, 5e3, 100e3, -5e3, -60e3}).Draw(t, "ramp")
			dt := rapid.SampledFrom([]float64{0.02, 0.1, 1, 5}).Draw(t, "dt")
			for i := 0; i < 12; i++ {
				p2 := math.Min(math.Max(p+ramp*dt, 0.9e5), 60e5)
				o.Predict(p, p2, ambientK, dt)
				p = p2
				s := o.Estimate().State
				wild := rapid.SampledFrom([]float64{0, 0.3, -1, 5, -80, 1e3}).Draw(t, "wild")
				o.CorrectGas(s.BeadK+wild, dt)
				o.CorrectSkin(0, s.SkinK[0]-wild, dt)
				o.CorrectSurface(1, s.Wall[1][cells-1]+wild, float64(i))
			}
			checkCov(t, o.Estimate())
			var walls [2]Wall
			o.Walls(1, walls[:])
			for _, w := range walls {
				must.Need(t, w.Hottest.BandK > 0 && !math.IsNaN(w.Hottest.ValueK) && !math.IsInf(w.Hottest.BandK, 0), "wall %+v", w)
			}
		}
	})
}

// A clone starts from the same estimate and goes its own way.
func TestClone(t *testing.T) {
	o := New(config(6, true))
	o.Start(ambientK, ambientK, 101325, false)
	o.Predict(101325, 2e5, ambientK, 1)
	c := o.Clone()
	must.Be(t, c.Started() && c.Flow() == o.Flow() && c.Estimate().State == o.Estimate().State, "the clone does not start as the filter is")
	keep, cov := o.Estimate().State, append([]float64(nil), o.Estimate().Cov...)
	for i := 0; i < 20; i++ {
		c.Predict(2e5, 2e5, ambientK, 1)
		c.CorrectGas(ambientK+10, 1)
		c.CorrectSkin(0, ambientK+5, 1)
	}
	must.Be(t, o.Estimate().State == keep, "the clone moved the filter's estimate")
	for i := range cov {
		must.Need(t, o.Estimate().Cov[i] == cov[i], "the clone moved the filter's covariance")
	}
	// And the same inputs give the same answer, bit for bit.
	d, e := o.Clone(), o.Clone()
	for _, x := range []*Filter{d, e} {
		x.Predict(2e5, 2.1e5, ambientK, 1)
		x.CorrectGas(ambientK+2, 1)
	}
	must.Be(t, d.Estimate().State == e.Estimate().State, "two clones with the same readings differ")
}

// Bead and gas balance that contradict each other for long are told; a
// transient, and a bead that agrees, are not.
func TestDisagree(t *testing.T) {
	run := func(seconds, offK float64) (bool, float64) {
		o := New(known(6, false))
		o.Start(ambientK, ambientK, 10e5, false)
		for s := 0.0; s < seconds; s += stepS {
			o.Predict(10e5, 10e5, ambientK, stepS)
			o.CorrectGas(o.Estimate().State.BeadK+o.Estimate().BiasK+offK, stepS)
		}
		return o.Disagree()
	}
	if yes, _ := run(20, 0.2); yes {
		t.Error("a bead that agrees is called a contradiction")
	}
	if yes, _ := run(3, 30); yes {
		t.Error("a transient is called a contradiction")
	}
	if yes, by := run(20, 30); !yes || math.Abs(by-30) > 1e-6 {
		t.Errorf("a contradiction of 30 K for 20 s: %v, %v K", yes, by)
	}
	if yes, by := run(20, -30); !yes || math.Abs(by+30) > 1e-6 {
		t.Errorf("a contradiction of −30 K for 20 s: %v, %v K", yes, by)
	}
}

// A record that starts under pressure knows less of its wall.
func TestStartLate(t *testing.T) {
	band := func(late bool) float64 {
		o := New(config(6, false))
		o.Start(ambientK+15, ambientK, 20e5, late)
		var walls [2]Wall
		o.Walls(1, walls[:])
		return walls[0].Hottest.BandK
	}
	if early, late := band(false), band(true); !(late > early+2) {
		t.Errorf("band %.1f K of a record from the start, %.1f K of one that starts under pressure", early, late)
	}
}

// The wind may drop: what a hold has shown of the outside coefficient wears off
// when nothing shows it any more, up to what a day may change and no further.
func TestWindChanges(t *testing.T) {
	cfg := config(6, false)
	o := New(cfg)
	o.Start(ambientK, ambientK, 10e5, false)
	at, n := o.estimate.Layout.AtPar(thermal.ParLnOutside), o.estimate.Layout.N
	prior, known := cfg.ParCov[thermal.ParLnOutside][thermal.ParLnOutside], 1e-4
	o.estimate.Cov[at*n+at] = known
	for s := 0.0; s < 100; s += stepS {
		o.Predict(10e5, 10e5, ambientK, stepS)
	}
	if v, want := o.estimate.Cov[at*n+at], known+noiseWindLn*noiseWindLn*100; math.Abs(v/want-1) > 0.01 {
		t.Errorf("after 100 s its variance is %.5f, want %.5f", v, want)
	}
	for s := 0.0; s < 3600; s += 2 {
		o.Predict(10e5, 10e5, ambientK, 2)
	}
	if v := o.estimate.Cov[at*n+at]; math.Abs(v/prior-1) > 0.01 {
		t.Errorf("after an hour its variance is %.5f, want the day's %.5f", v, prior)
	}
}
