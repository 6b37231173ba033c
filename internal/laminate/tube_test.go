package laminate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

const barPa = 1e5

func uniform(tempK float64) Side { return Side{tempK, tempK} }

func tubeOf(t must.Test, layers ...Layer) *Tube {
	return must.Get(NewTube(TubeOf{Layers: layers, InnerDiameterM: 0.09, LengthM: 1.6, Softening: SofteningOf(327.15, 334.15), Doubt: UsualDoubt}))(t)
}

func carbonPair(angle, thickness float64) Layer { return Layer{handbook[0], Pair, angle, thickness} }

// TestEven proves that a tube of one temperature does not bend, whatever its
// layers, and that its axial strain is the plate's under half the hoop load.
func TestEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempK := rapid.Float64Range(280, 350).Draw(t, "temp")
		l := carbonPair(rapid.Float64Range(20, 80).Draw(t, "angle"), 2.8e-3)
		b := tubeOf(t, l).Bow(State{PressurePa: 40 * barPa, Sun: uniform(tempK), Shade: uniform(tempK)})
		must.Be(t, math.Abs(b.CurvaturePerM.Value) <= 1e-12 && math.Abs(b.SagM.Value) <= 1e-12, "κ %g", b.CurvaturePerM.Value)
		within(t, "ratio", b.SidesRatio.Value, 1, 1e-12)
		within(t, "bending left", b.BendShare.Value, b.SunShare.Value, 1e-9)
		m := l.Material.Softened(SofteningOf(327.15, 334.15).Share(tempK))
		p := NewPlate([]Ply{{m, l.AngleDeg, 0.7e-3}, {m, -l.AngleDeg, 1.4e-3}, {m, l.AngleDeg, 0.7e-3}})
		const inner, middle = 0.045, 0.0464
		want, _ := p.Respond(Vector{40 * barPa * inner * inner / (2 * middle), 40 * barPa * inner, 0}, Vector{}, 0)
		must.Be(t, math.Abs(b.Strain.Value-want[0]) <= 1e-9, "strain %g, want %g", b.Strain.Value, want[0])
	})
}

// TestSoftTube proves the axial strains of a ±55° carbon tube of r/t 16.6 at
// 40 bar as the matrix softens, worked out by other code for the project's
// notes, and that its E_x falls one to one with the matrix, 11 to 1.1 GPa.
func TestSoftTube(t *testing.T) {
	for _, row := range [...]struct{ share, percent, exGPa float64 }{
		{1, 0.039, 11}, {0.5, 0.046, 5.5}, {0.2, 0.064, 2.2}, {0.1, 0.093, 1.1}, {0.03, 0.228, 0.33},
	} {
		m := handbook[0].Softened(row.share)
		p := NewPlate([]Ply{{m, 55, 1}, {m, -55, 2}, {m, 55, 1}})
		e, _ := p.Respond(Vector{4 * 8.3 * 40 * barPa, 4 * 16.6 * 40 * barPa, 0}, Vector{}, 0)
		within(t, "strain", 100*e[0], row.percent, 0.012) // the notes' ν12 is not stated
		within(t, "E_x", p.Constants().ExPa/1e9, row.exGPa, 0.015)
	}
}

// TestDirection proves which way a tube bends with one side soft. At and above
// the netting angle the soft side grows longer and the tube bends away from it
// (common practice, no source). Below it a soft side is pulled round by the
// hoop load and grows shorter: the tube bends towards it. That follows from
// the sign of the pair's axial strain under a 2:1 load without a matrix.
func TestDirection(t *testing.T) {
	hot := State{PressurePa: 40 * barPa, Sun: uniform(338.15), Shade: uniform(308.15)}
	for angle, sign := range map[float64]float64{45: -1, 50: -1, 55: 1, 60: 1, 70: 1} {
		b := tubeOf(t, carbonPair(angle, 2.8e-3)).Bow(hot)
		must.Be(t, b.CurvaturePerM.Value*sign > 0, "±%g°: κ %g", angle, b.CurvaturePerM.Value)
	}
}

// TestAxialFibres proves that a third of the wall laid along the axis makes a
// ±55° tube bend several times less at the same temperatures and lets it keep
// its bending stiffness (common practice, no source).
func TestAxialFibres(t *testing.T) {
	plain := tubeOf(t, carbonPair(55, 2.8e-3))
	mixed := tubeOf(t, carbonPair(55, 1.9e-3), Layer{handbook[0], Straight, 0, 0.9e-3})
	for _, sun := range []float64{318.15, 323.15, 327.15, 331.15, 335.15, 343.15} {
		s := State{PressurePa: 40 * barPa, Sun: uniform(sun), Shade: uniform(308.15)}
		a, b := plain.Bow(s), mixed.Bow(s)
		must.Be(t, math.Abs(a.SagM.Value) >= 4*math.Abs(b.SagM.Value), "at %g K %g mm against %g mm", sun, 1e3*a.SagM.Value, 1e3*b.SagM.Value)
		must.Be(t, b.BendShare.Value > a.BendShare.Value && b.SidesRatio.Value > a.SidesRatio.Value,
			"at %g K %+v against %+v", sun, a.BendShare, b.BendShare)
	}
}

// TestWarmerIsSofter proves that a warmer sunny side never leaves more axial or
// bending stiffness, that all shares lie between 0 and 1, and that every
// band holds its value.
func TestWarmerIsSofter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tube := tubeOf(t, carbonPair(rapid.Float64Range(30, 70).Draw(t, "angle"), 2e-3), Layer{handbook[1], Cloth, 0, 0.5e-3})
		shade := rapid.Float64Range(285, 330).Draw(t, "shade")
		sun := shade + rapid.Float64Range(0, 40).Draw(t, "difference")
		at := func(sunK float64) Bow {
			return tube.Bow(State{PressurePa: 30 * barPa, Sun: uniform(sunK), Shade: uniform(shade), SunBandK: 2})
		}
		a, b := at(sun), at(sun+rapid.Float64Range(0.01, 20).Draw(t, "more"))
		must.Be(t, b.SunShare.Value <= a.SunShare.Value && b.BendShare.Value <= a.BendShare.Value+1e-12 && b.SidesRatio.Value <= a.SidesRatio.Value,
			"%+v then %+v", a, b)
		for _, f := range []Figure{b.CurvaturePerM, b.SagM, b.Strain, b.BendShare, b.SunShare, b.ShadeShare, b.SidesRatio} {
			must.Be(t, f.Low <= f.Value && f.Value <= f.High, "%+v", f)
		}
		for _, f := range []Figure{b.BendShare, b.SunShare, b.ShadeShare} {
			must.Be(t, f.Low > 0 && f.Value <= 1, "%+v", f)
		}
	})
}

// TestScale proves that only ratios bend a tube: pressure and all moduli times
// the same number give the same figures.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(0.1, 10).Draw(t, "times")
		l := carbonPair(55, 2.8e-3)
		stiff := l
		stiff.E1Pa, stiff.E2Pa, stiff.G12Pa = x*l.E1Pa, x*l.E2Pa, x*l.G12Pa
		s := State{PressurePa: 40 * barPa, Sun: Side{331, 325}, Shade: Side{312, 309}, SunBandK: 1}
		a := tubeOf(t, l).Bow(s)
		s.PressurePa *= x
		b := tubeOf(t, stiff).Bow(s)
		within(t, "κ", b.CurvaturePerM.High, a.CurvaturePerM.High, 1e-9)
		within(t, "bending", b.BendShare.Low, a.BendShare.Low, 1e-9)
	})
}

// TestDoubtIsAFactor proves that the band on the curvature of a warm tube is as
// wide as is known of softening curves: a factor of 1.5 at least, each way.
func TestDoubtIsAFactor(t *testing.T) {
	b := tubeOf(t, carbonPair(55, 2.8e-3)).Bow(State{PressurePa: 40 * barPa, Sun: uniform(331.15), Shade: uniform(308.15), SunBandK: 2})
	f := b.SagM
	must.Be(t, f.High > 1.5*f.Value && f.Low < f.Value/1.5, "%+v", f)
}

// TestUnknown proves that one unknown temperature or pressure makes every
// figure that hangs on it unknown, band and all, and never good.
func TestUnknown(t *testing.T) {
	tube, nan := tubeOf(t, carbonPair(55, 2.8e-3)), math.NaN()
	good := State{PressurePa: 40 * barPa, Sun: uniform(330), Shade: uniform(310), SunBandK: 2}
	for i, spoil := range []func(*State){
		func(s *State) { s.Sun.InnerK = nan }, func(s *State) { s.Sun.OuterK = nan },
		func(s *State) { s.Shade.InnerK = nan }, func(s *State) { s.SunBandK = nan }, func(s *State) { s.PressurePa = nan },
	} {
		s := good
		spoil(&s)
		b := tube.Bow(s)
		must.Be(t, math.IsNaN(b.SagM.High) && math.IsNaN(b.SagM.Low), "%d: sag %+v", i, b.SagM)
		r := tube.SidesRatio(s)
		must.Be(t, s.PressurePa != s.PressurePa || math.IsNaN(r), "%d: ratio %v", i, r)
	}
}

// TestSidesRatio proves that the quick ratio is the figure's own, and that doubt
// of the sunny side's temperature lowers it.
func TestSidesRatio(t *testing.T) {
	tube := tubeOf(t, carbonPair(55, 2.8e-3))
	s := State{PressurePa: 40 * barPa, Sun: Side{331, 326}, Shade: Side{312, 309}}
	within(t, "ratio", tube.SidesRatio(s), tube.Bow(s).SidesRatio.Value, 1e-12)
	sure := tube.SidesRatio(s)
	s.SunBandK = 3
	must.Be(t, tube.SidesRatio(s) < sure, "doubt does not lower it")
}

func BenchmarkBow(b *testing.B) {
	var layers []Layer
	for i := range 8 {
		layers = append(layers, carbonPair(50+float64(i), 0.35e-3))
	}
	tube := tubeOf(b, layers...)
	s := State{PressurePa: 40 * barPa, Sun: Side{330, 325}, Shade: Side{310, 308}, SunBandK: 2}
	b.ReportAllocs()
	for b.Loop() {
		tube.Bow(s)
	}
}
