package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// Sol-air at the light and the dark surface of ASHRAE Fundamentals: α/h_o is
// 0.026 and 0.052 m²K/W for absorptances of about 0.45 and 0.9 (absorptances
// from memory). The doubt is never under that of a vessel which was never seen
// in the sun, and grows with the paint.
func TestSolAir(t *testing.T) {
	for _, c := range []struct{ absorptance, perWM2 float64 }{{0.45, 0.026}, {0.9, 0.052}} {
		g := SolAir(c.absorptance)
		must.Near(t, "gain at 500 W/m²", g.MeanK, 500*c.perWM2, 0.03*500*c.perWM2)
		least, most := UnseenSigmaK, math.Max(UnseenSigmaK, 450*c.perWM2)
		must.Be(t, g.SigmaK >= least && g.SigmaK <= most, "absorptance %g: sigma %.1f K, want %.1f to %.1f", c.absorptance, g.SigmaK, least, most)
	}
	if g := SolAir(0); g.MeanK != 0 || g.SigmaK < UnseenSigmaK {
		t.Errorf("a wall that takes up no sunlight by what somebody wrote: %+v", g)
	}
	if g := SolAir(math.NaN()); !(g.MeanK > 5) || !(g.SigmaK >= UnseenSigmaK) {
		t.Errorf("paint that nobody knows: %+v", g)
	}
}

// What fills showed comes before the paint, and the paint of the sunny station
// before that of another.
func TestGainsFor(t *testing.T) {
	nan := math.NaN()
	v := &vessel.Profile{Stations: []vessel.Station{
		{Name: "shade", OffSunDeg: 180, Absorptance: 0.2}, {Name: "sun", OffSunDeg: 0, Absorptance: 0.9},
	}}
	if got, l := learnedExample().GainsFor(v), learnedExample(); got != *l.Gains {
		t.Errorf("learned: %+v", got)
	}
	if got := Handbook().GainsFor(v); got.Lit != SolAir(0.9) || got.Shade != handbookShade {
		t.Errorf("by the paint: %+v", got)
	}
	v.Stations[1].Absorptance = nan
	if got := Handbook().GainsFor(v); got.Lit != SolAir(0.2) {
		t.Errorf("by the other station's paint: %+v", got)
	}
}

// testProfile is a short tube that nobody wrote a station for.
func testProfile() *vessel.Profile {
	return &vessel.Profile{InnerDiameter: 0.1, Length: 0.4, Volume: 0.003, AmbientPressure: 101325,
		Wall: vessel.Wall{Thickness: 0.003, DensityKgM3: 1500, SpecificHeatJKgK: 1000, ConductivityWMK: 0.5}}
}

// The sunny share somebody wrote is taken, and doubted the more the further it
// is from what a beam on a tube does; a longer vessel's gas is less one.
func TestPriorFor(t *testing.T) {
	r, _ := VariantNamed("layered-jet")
	v := testProfile()
	v.Stations = []vessel.Station{{Name: "sun", AreaFraction: 0.5}, {Name: "shade", OffSunDeg: 180, AreaFraction: 0.5}}
	mean, sigma := PriorFor(v, r, thermal.ParSunShare)
	must.Be(t, mean == 0.5 && mean-2*sigma < 1/math.Pi, "a share of one half: %.3f ± %.3f does not reach to what a beam does", mean, sigma)
	for _, c := range []struct{ slender, least, most float64 }{ // one sigma as a share of a long vessel's
		{2, 0, 0}, {3, 0, 0}, {5, 0.05, 0.25}, {6, 0.4, 0.6}, {7, 0.75, 0.95}, {9, 0.99, 1},
	} {
		v.Length = quantity.Length(c.slender * float64(v.InnerDiameter))
		mean, sigma := PriorFor(v, r, thermal.ParFar)
		share := sigma / farUnreadSigma
		must.Be(t, share >= c.least && share <= c.most && mean <= farUnread*share+1e-12,
			"a vessel of %g diameters has a far end of %.3f ± %.3f", c.slender, mean, sigma)
	}
	v.Length = 20 * v.InnerDiameter
	unread, sigmaUnread := PriorFor(v, r, thermal.ParFar)
	v.Stations = append(v.Stations, vessel.Station{Name: "end", End: vessel.EndFar})
	read, sigmaRead := PriorFor(v, r, thermal.ParFar)
	_, taught := PriorUnread(v, r, thermal.ParFar)
	if !(math.Abs(unread+2*taught-1) < 1e-9 && sigmaUnread < taught && read > unread && read+2*sigmaRead > 1) { // all of it may be unmixed
		t.Errorf("far end %.3f ± %.3f unread, %.3f ± %.3f read", unread, sigmaUnread, read, sigmaRead)
	}
	if mean, sigma := PriorFor(v, Variants()[0], thermal.ParJet); mean != 0 || sigma != 0 {
		t.Errorf("a variant without a jet has one of %g ± %g", mean, sigma)
	}
}
