package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"

	"fillwright/internal/gas"
)

// The handbook's film agrees with natural convection in a closed vessel,
// Nu = 0.104 Ra^0.352 (Woodfield et al. 2007, citation from memory), at its
// reference, with the transport properties of air.
func TestHandbookFilm(t *testing.T) {
	woodfield := func(density, diff float64) float64 {
		const tempK, size = 300.0, 0.1
		air := gas.Equation(gas.Air)
		mu, k := air.ViscosityPaS(tempK, density), air.ConductivityWMK(tempK, density)
		cp := air.State(tempK, density).CpJKgK
		nu, alpha := mu/density, k/(density*cp)
		ra := 9.81 / tempK * diff * math.Pow(size, 3) / (nu * alpha)
		return 0.104 * math.Pow(ra, 0.352) * k / size
	}
	p := Handbook().Params
	if got, want := p.Film(thermal.DensityRefKgM3, thermal.BuoyancyRefK, 0), woodfield(thermal.DensityRefKgM3, thermal.BuoyancyRefK); math.Abs(math.Log(got/want)) > math.Log(1.65) {
		t.Errorf("film at reference %.1f W/m²K, correlation %.1f: further apart than the prior's sigma of 0.5", got, want)
	}
	// The exponents hold over the whole fill within their own scatter.
	for _, c := range []struct{ density, diff float64 }{{2, 10}, {60, 10}, {20, 2}, {20, 60}} {
		got := p.Film(c.density, c.diff, 0) / p.Film(thermal.DensityRefKgM3, thermal.BuoyancyRefK, 0)
		want := woodfield(c.density, c.diff) / woodfield(thermal.DensityRefKgM3, thermal.BuoyancyRefK)
		must.Be(t, math.Abs(math.Log(got/want)) <= 0.25, "film ratio at %g kg/m³, %g K: %.3f, correlation %.3f", c.density, c.diff, got, want)
	}
}

// Handbook is a complete model with wide scatter that no fill stands behind.
func TestHandbook(t *testing.T) {
	l := Handbook()
	must.Be(t, l.IsHandbook() && l.Variant.Cells == thermal.CellsLayered && l.DiscrepancyK >= 0.5, "handbook: %+v", l)
	for i := range l.Params {
		sigma := math.Sqrt(l.Cov[i][i])
		must.Be(t, sigma > 0, "%s is taken as known exactly", thermal.ParKey(i))
	}
	for i, r := range map[int][2]float64{thermal.ParLnFilm: {10, 100}, thermal.ParLnOutside: {5, 35}, thermal.ParLnBead: {0.5, 20}, thermal.ParJet: {5, 100}, thermal.ParLnHeat: {0.9, 1.1}} {
		v := thermal.ParValue(i, l.Params[i])
		must.Be(t, v >= r[0] && v <= r[1], "%s = %g, want %g to %g", thermal.ParKey(i), v, r[0], r[1])
	}
	why, factor := l.Outside(1e9, 1e9, 1e9, 1e9)
	must.Be(t, why == "" && factor == 1, "the handbook was learned nowhere, yet outside says %q, %g", why, factor)
	g := HandbookGains(&vessel.Profile{Stations: []vessel.Station{{Name: "sun", Absorptance: math.NaN()}}})
	must.Be(t, g.Shade.MeanK+g.Lit.MeanK+2*g.Lit.SigmaK >= 40,
		"a vessel that nothing is known of may stand %.0f K above ambient at two sigma; dark paint in full sun reaches some 50 K (sol-air, ASHRAE) in calm", g.Lit.MeanK+2*g.Lit.SigmaK)
}

// Each way out of the learned range widens the band and is told; the more
// outside, the wider, to a bound.
func TestLearnedOutside(t *testing.T) {
	l := learnedExample()
	r := l.Range
	if why, factor := l.Outside(r.RampMostPaS, r.DensityMost, r.GasMostK, r.AmbientMostK); why != "" || factor != 1 {
		t.Errorf("inside the range: %q, %g", why, factor)
	}
	nan := math.NaN()
	for _, c := range []struct {
		ramp, density, gas, ambient float64
		why                         string
		share                       float64 // of outsideMost
	}{
		{2.15 * r.RampMostPaS, 1, 300, 290, "ramp faster than in the fills behind the model", 0.5},
		{1e9, 1, 300, 290, "ramp faster than in the fills behind the model", 1},
		{1, 1.65 * r.DensityMost, 300, 290, "gas denser than in the fills behind the model", 0.5},
		{1, 1, r.GasMostK + 20, 290, "gas hotter than in the fills behind the model", 0.5},
		{1, 1, 300, r.AmbientLeastK - 13, "colder day than the fills behind the model", 0.5},
		{1, 1, 300, r.AmbientMostK + 13, "hotter day than the fills behind the model", 0.5},
		{1e9, 1e9, 1e9, 1e9, "ramp faster than in the fills behind the model", 4},
		{nan, 1, nan, r.AmbientMostK + 13, "hotter day than the fills behind the model", 0.5},
	} {
		why, factor := l.Outside(c.ramp, c.density, c.gas, c.ambient)
		must.Be(t, why == c.why && math.Abs(factor-1-outsideMost*c.share) < 1e-9, "%+v: %q, %g", c, why, factor)
	}
}

// Variants are named, found by name, and hold at zero what they do not free.
func TestRungs(t *testing.T) {
	for _, r := range Variants() {
		got, ok := VariantNamed(r.Name)
		must.Be(t, ok && got == r, "%s not found by name", r.Name)
		for _, i := range []int{thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet} {
			mean, sigma := r.Prior(i)
			must.Be(t, (!r.Zero[i] || mean == 0 && sigma == 0) && r.Zero[i] != r.Free[i],
				"%s: %s has prior %g ± %g", r.Name, thermal.ParKey(i), mean, sigma)
		}
	}
	if _, ok := VariantNamed("none"); ok {
		t.Error("a variant that does not exist was found")
	}
}
