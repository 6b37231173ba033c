package laminate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// fine is a ring of many strips, by the middle rule, for any course of the
// wall round it.
func fine(radiusM float64, at func(cos float64) strip) []place {
	const n = 20000
	out := make([]place, n)
	for i := range out {
		c := math.Cos(math.Pi * (float64(i) + 0.5) / n)
		out[i] = place{at(c), radiusM * c, 2 * math.Pi * radiusM / n}
	}
	return out
}

// TestHalfRings proves the exact case of two half rings of stiffness a1 and a2
// under a thrust alone: κ = −P ES/(EA EI − ES²) with EA = π r (a1 + a2),
// ES = 2 r² (a1 − a2), EI = π r³ (a1 + a2)/2 (derived by hand).
func TestHalfRings(t *testing.T) {
	const r, a1, a2, thrust = 0.05, 3e6, 8e6, 2e4
	ea, es, ei := math.Pi*r*(a1+a2), 2*r*r*(a1-a2), math.Pi*r*r*r*(a1+a2)/2
	got := balance(fine(r, func(c float64) strip {
		if c > 0 {
			return strip{a1, 0}
		}
		return strip{a2, 0}
	}), thrust)
	within(t, "κ", got.curvature, -thrust*es/(ea*ei-es*es), 1e-6)
	within(t, "ε", got.strain, thrust*ei/(ea*ei-es*es), 1e-6)
	within(t, "EI", got.bendNM2, ei-es*es/ea, 1e-6)
	must.Be(t, got.curvature >= 0, "under a thrust the softer side must be the longer one")
}

// TestLinearTemperature proves the exact case of one stiffness all round and a
// temperature that goes straight across: κ = α ΔT/D, whatever the stiffness
// (Roark; beam theory), for any balanced layers, with α of classical laminate
// theory.
func TestLinearTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMaterial(t)
		l := Layer{m, Pair, rapid.Float64Range(10, 80).Draw(t, "angle"), 2e-3}
		const r, middleK, differenceK = 0.04, 300, 30
		cold := Softening{MidpointK: math.Inf(1), SteepnessPerK: 1}
		got := balance(fine(r, func(c float64) strip {
			k := middleK + differenceK/2*c
			return wall(stack([]Layer{l}, 0), cold, Side{k, k}, middleK, 0, 1)
		}), 0)
		half := Layer{m, Pair, l.AngleDeg, 1e-3}
		p := NewPlate(append(half.Plies(), Layer{m, Pair, -l.AngleDeg, 1e-3}.Plies()...))
		alpha := p.Constants().AlphaXPerK
		want := alpha * differenceK / (2 * r)
		must.Be(t, math.Abs(got.curvature-want) <= 1e-6*math.Abs(want)+1e-12, "κ %g, want %g", got.curvature, want)
		must.Be(t, math.Abs(got.strain) <= 1e-12, "ε %g", got.strain)
	})
}

// TestQuadrature proves that twelve points round the lit quarter are as good as
// twenty thousand, over any softening that can be: within 0.1 % of the greatest
// curvature that the sides could give.
func TestQuadrature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		onset := rapid.Float64Range(310, 350).Draw(t, "onset")
		curve := SofteningOf(onset, onset+rapid.Float64Range(4, 20).Draw(t, "width"))
		shade := rapid.Float64Range(280, 330).Draw(t, "shade")
		sun := shade + rapid.Float64Range(0, 50).Draw(t, "difference")
		layers := stack([]Layer{{handbook[0], Pair, rapid.Float64Range(40, 70).Draw(t, "angle"), 2.8e-3}}, 0)
		at := func(s Side) strip { return wall(layers, curve, s, shade, 40e5*0.045, 1) }
		var few [2 * points]place
		const r, thrust = 0.0464, 25e3
		sunRing(&few, r, Side{sun, sun}, Side{shade, shade}, at)
		got := balance(few[:], thrust)
		want := balance(fine(r, func(c float64) strip {
			k := shade + (sun-shade)*math.Max(c, 0)
			return at(Side{k, k})
		}), thrust)
		scale := math.Max(math.Abs(want.strain), 1e-4) / r
		must.Be(t, math.Abs(got.curvature-want.curvature) <= 1e-3*scale, "κ %g, want %g", got.curvature, want.curvature)
		within(t, "EI", got.bendNM2, want.bendNM2, 1e-3)
	})
}

// TestStripIsPlate proves that a strip of tube wall is the plate of the same
// plies with its hoop strain free, by another way of summing.
func TestStripIsPlate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMaterial(t)
		angle := rapid.Float64Range(5, 85).Draw(t, "angle")
		layers := []Layer{{m, Pair, angle, 1e-3}, {handbook[1], Cloth, 0, 0.5e-3}, {m, Straight, 90, 0.3e-3}, {m, Straight, 0, 0.2e-3}}
		var plies []Ply
		for _, l := range layers {
			plies = append(plies, l.Plies()...)
		}
		for i := len(plies) - 1; i >= 0; i-- { // made symmetric: a ring does not curl
			plies = append(plies, plies[i])
		}
		p := NewPlate(plies)
		const hoop, rise = 2e5, 25.
		cold := Softening{MidpointK: math.Inf(1), SteepnessPerK: 1}
		got := wall(stack(layers, 0), cold, Side{300 + rise, 300 + rise}, 300, hoop, 1)
		free, _ := p.Respond(Vector{0, 2 * hoop, 0}, Vector{}, rise)
		within(t, "a", got.stiffnessNM, p.Constants().ExPa*p.ThicknessM/2, 1e-9)
		must.Be(t, math.Abs(got.free-free[0]) <= 1e-9*math.Abs(free[0])+1e-12, "free strain %g, want %g", got.free, free[0])
	})
}
