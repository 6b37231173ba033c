package observe

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A hand-held reading pulls the wall by the weights of both uncertainties:
// the scalar Kalman gain v/(v + r), worked out here from the covariance.
func TestSurfaceWeights(t *testing.T) {
	o := New(known(1, false))
	o.Start(ambientK, ambientK, 101325, false)
	b := o.Belief()
	at := b.Layout.AtWall(0, 0)
	n := b.Layout.N
	v, before := b.Cov[at*n+at], b.State.Wall[0][0]
	out, cross := b.State.OutK[0], b.Cov[b.Layout.AtOut(0)*n+at]
	reading := before + 3
	if !o.CorrectSurface(0, reading) {
		t.Fatal("a likely reading was refused")
	}
	gain := v / (v + sigmaSurfaceK*sigmaSurfaceK)
	if got := b.State.Wall[0][0]; math.Abs(got-(before+3*gain)) > 1e-9 {
		t.Errorf("wall at %v, want %v", got, before+3*gain)
	}
	if got := b.Cov[at*n+at]; math.Abs(got-v*(1-gain)) > 1e-9 {
		t.Errorf("variance %v, want %v", got, v*(1-gain))
	}
	want := out + 3*cross/(v+sigmaSurfaceK*sigmaSurfaceK)
	if got := b.State.OutK[0]; math.Abs(got-want) > 1e-9 || got <= out {
		t.Errorf("outside at %v, want %v", got, want)
	}
	// The second reading finds a surer wall and pulls less.
	before = b.State.Wall[0][0]
	o.CorrectSurface(0, before+3)
	if second := (b.State.Wall[0][0] - before) / 3; !(second < gain && second > 0) {
		t.Errorf("second reading pulled by %.3f, the first by %.3f", second, gain)
	}
}

// A reading that no likely wall could show is refused and changes nothing.
func TestSurfaceAbsurd(t *testing.T) {
	for _, reading := range []float64{900, 100, -5, math.NaN(), math.Inf(1)} {
		o := New(config(6, false))
		o.Start(ambientK, ambientK, 101325, false)
		before := o.Clone()
		if o.CorrectSurface(1, reading) {
			t.Errorf("%v K was taken for a wall at %.1f K", reading, before.Belief().State.Wall[1][5])
		}
		if o.Belief().State != before.Belief().State || o.Belief().Params != before.Belief().Params {
			t.Errorf("%v K moved the estimate", reading)
		}
		for i, v := range o.Belief().Cov {
			if v != before.Belief().Cov[i] {
				t.Fatalf("%v K changed the covariance", reading)
			}
		}
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
			s := o.Belief().State
			o.CorrectGas(s.BeadK, stepS)
			for k := 0; k < 2; k++ {
				o.CorrectSkin(k, s.SkinK[k], stepS)
			}
		}
		before := o.Belief().State
		o.CorrectSkin(0, before.SkinK[0]+jump, stepS)
		o.CorrectGas(before.BeadK+jump, stepS)
		after := o.Belief().State
		for what, d := range map[string]float64{
			"inner wall": after.Wall[0][0] - before.Wall[0][0], "outer wall": after.Wall[0][5] - before.Wall[0][5],
			"gas": after.GasK - before.GasK, "outside": after.OutK[0] - before.OutK[0],
		} {
			if !(math.Abs(d) < 2) {
				t.Errorf("a jump of %v K moved the %s by %v K", jump, what, d)
			}
		}
		checkCov(t, o.Belief())
	}
}

// A dead bead leaves the gas to the balance: its band grows, and comes back
// with the bead.
func TestBeadDead(t *testing.T) {
	w := newTwin(config(6, false), 5, 101325)
	bead := w.noisy()
	for i := 0; i < 200; i++ {
		w.step(40e3, bead)
	}
	alive := w.o.GasBandK()
	last := alive
	for i := 0; i < 4; i++ {
		for j := 0; j < 75; j++ {
			w.step(40e3, silent)
		}
		if band := w.o.GasBandK(); !(band > last) {
			t.Errorf("band %.2f K after another 15 s without the bead, %.2f K before", band, last)
		} else {
			last = band
		}
	}
	for i := 0; i < 150; i++ {
		w.step(0, bead)
	}
	if back := w.o.GasBandK(); !(back < last) {
		t.Errorf("band %.2f K with the bead back, %.2f K without", back, last)
	}
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
				s := o.Belief().State
				wild := rapid.SampledFrom([]float64{0, 0.3, -1, 5, -80, 1e3}).Draw(t, "wild")
				o.CorrectGas(s.BeadK+wild, dt)
				o.CorrectSkin(0, s.SkinK[0]-wild, dt)
				o.CorrectSurface(1, s.Wall[1][cells-1]+wild)
			}
			checkCov(t, o.Belief())
			var walls [2]Wall
			o.Walls(walls[:])
			for _, w := range walls {
				if !(w.Hottest.BandK > 0) || math.IsNaN(w.Hottest.ValueK) || math.IsInf(w.Hottest.BandK, 0) {
					t.Fatalf("wall %+v", w)
				}
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
	if !c.Started() || c.Flow() != o.Flow() || c.Belief().State != o.Belief().State {
		t.Error("the clone does not start as the observer is")
	}
	keep, cov := o.Belief().State, append([]float64(nil), o.Belief().Cov...)
	for i := 0; i < 20; i++ {
		c.Predict(2e5, 2e5, ambientK, 1)
		c.CorrectGas(ambientK+10, 1)
		c.CorrectSkin(0, ambientK+5, 1)
	}
	if o.Belief().State != keep {
		t.Error("the clone moved the observer's estimate")
	}
	for i := range cov {
		if o.Belief().Cov[i] != cov[i] {
			t.Fatal("the clone moved the observer's covariance")
		}
	}
	// And the same inputs give the same answer, bit for bit.
	d, e := o.Clone(), o.Clone()
	for _, x := range []*Observer{d, e} {
		x.Predict(2e5, 2.1e5, ambientK, 1)
		x.CorrectGas(ambientK+2, 1)
	}
	if d.Belief().State != e.Belief().State {
		t.Error("two clones with the same readings differ")
	}
}

// Bead and gas balance that contradict each other for long are told; a
// transient, and a bead that agrees, are not.
func TestDisagree(t *testing.T) {
	run := func(seconds, offK float64) (bool, float64) {
		o := New(known(6, false))
		o.Start(ambientK, ambientK, 10e5, false)
		for s := 0.0; s < seconds; s += stepS {
			o.Predict(10e5, 10e5, ambientK, stepS)
			o.CorrectGas(o.Belief().State.BeadK+o.Belief().BiasK+offK, stepS)
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
		o.Walls(walls[:])
		return walls[0].Hottest.BandK
	}
	if early, late := band(false), band(true); !(late > early+2) {
		t.Errorf("band %.1f K of a record from the start, %.1f K of one that starts under pressure", early, late)
	}
}
