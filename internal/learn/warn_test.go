package learn

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// A fill that was made with another wall is named, and none else; fills of one
// wall are not.
func TestOddFillNamed(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 80})
	for _, heat := range []float64{0.6, 1, 1.6} {
		odd := pretended{name: "odd", variant: "layered", par: truth, rampBar: 20, toBar: 40, holdS: 150, ambientK: 293, gainK: [2]float64{5, 2}, heat: heat}
		r := mustLearn(t, v, append(three(t, v, pretended{variant: "layered", par: truth}), odd.fill(t, v, 9)), "layered")
		for _, f := range r.Best().LeftOut {
			t.Logf("heat ×%g %s: %+.2f %+.2f wall %.2f gas %.2f", heat, f.Name, f.FilmLn, f.OutsideLn, f.WallRMSK, f.GasRMSK)
		}
		got := warned(r, "odd disagrees with the rest")
		must.Be(t, got == (heat != 1), "wall heat ×%g: named %v; warnings %q", heat, got, r.Warnings)
		for _, name := range []string{"monday", "tuesday", "wednesday"} {
			must.Be(t, !warned(r, name+" disagrees"), "wall heat ×%g: %s is named; warnings %q", heat, name, r.Warnings)
		}
	}
}

// Fills all at one ramp, on one day, without wall sensors: what a gas that runs
// hot says of film, inflow and wall can't be told apart, nothing at all is said
// of skin sensors, and each narrowness has its warning.
func TestNarrowFills(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "layered-jet", nil)
	var fills []*Fill
	for i := range 3 {
		c := pretended{name: string(rune('a' + i)), variant: "layered-jet", par: truth, rampBar: 20, toBar: 40, holdS: 150, ambientK: 293, gainK: [2]float64{5, 2}, bare: true}
		fills = append(fills, c.fill(t, v, uint64(20+i)))
	}
	r := mustLearn(t, v, fills, "layered-jet")
	o := r.Best().Outcome
	must.Be(t, len(o.Confounded) != 0, "nothing is confounded; warnings %q", r.Warnings)
	for _, g := range o.Confounded {
		must.Be(t, !slices.Contains(g, thermal.ParLnSkin) && !slices.Contains(g, thermal.ParStem),
			"a skin sensor that nobody had is confounded: %v", g)
	}
	for _, text := range []string{"can't tell apart: ", "about the same ramp (20 bar/min)", "about the same ambient temperature (20 °C)",
		"no wall reading in any fill", "skin sensor lag, skin sensor lead loss, sunny share"} {
		must.Be(t, warned(r, text), "no warning %q among %q", text, r.Warnings)
	}
	wide := mustLearn(t, v, three(t, v, pretended{variant: "lag-density", par: paramsOf(t, "lag-density", nil)}), "lag-density")
	for _, text := range []string{"same ramp", "same ambient", "no wall reading", "inside film"} {
		must.Be(t, !warned(wide, text), "ramps and days that differ: warning %q among %q", text, wide.Warnings)
	}
}

// Two parameters of which only the sum was measured are told from one that
// was measured by itself and from one that was not at all (worked by hand:
// information 1/s² in the direction (1, 1)/√2, none across).
func TestTangledByHand(t *testing.T) {
	r, _ := wallmodel.VariantNamed("layered")
	o := &Outcome{Variant: r, Free: []int{thermal.ParLnFilm, thermal.ParLnOutside, thermal.ParLnBead, thermal.ParLnSkin}}
	sigma := func(i int) float64 { _, s := r.Prior(i); return s }
	f, out := sigma(thermal.ParLnFilm), sigma(thermal.ParLnOutside)
	// Prior identity in scaled units, data 100 along (1, 1)/√2: covariance is
	// ½(1 + 1/101) on the diagonal and ½(1/101 − 1) beside it.
	same, beside := 0.5*(1+1.0/101), 0.5*(1.0/101-1)
	o.Cov[thermal.ParLnFilm][thermal.ParLnFilm], o.Cov[thermal.ParLnOutside][thermal.ParLnOutside] = same*f*f, same*out*out
	o.Cov[thermal.ParLnFilm][thermal.ParLnOutside], o.Cov[thermal.ParLnOutside][thermal.ParLnFilm] = beside*f*out, beside*f*out
	o.Cov[thermal.ParLnBead][thermal.ParLnBead] = 0.01 * sigma(thermal.ParLnBead) * sigma(thermal.ParLnBead)
	o.Cov[thermal.ParLnSkin][thermal.ParLnSkin] = sigma(thermal.ParLnSkin) * sigma(thermal.ParLnSkin)
	got := o.confounded()
	must.Be(t, len(got) == 1 && slices.Equal(got[0], []int{thermal.ParLnFilm, thermal.ParLnOutside}), "confounded %v", got)
}

// What the fills covered is finite, whatever was not read.
func TestRangeFinite(t *testing.T) {
	v := plover(t)
	truth := paramsOf(t, "lag", nil)
	fills := three(t, v, pretended{variant: "lag", par: truth})
	fills[0].AmbientK = nil
	for i := range fills[1].AmbientK {
		fills[1].AmbientK[i] = math.NaN()
	}
	check := func(r *Result, least, most float64) {
		t.Helper()
		g := r.Model.Range
		for _, x := range []float64{g.RampMostPaS, g.DensityMost, g.GasMostK, g.AmbientLeastK, g.AmbientMostK} {
			must.Be(t, !math.IsNaN(x) && !math.IsInf(x, 0) && x > 0, "range %+v", g)
		}
		must.Be(t, math.Abs(g.AmbientLeastK-least) <= 1 && math.Abs(g.AmbientMostK-most) <= 1,
			"ambient %.1f to %.1f K, want %.1f to %.1f K", g.AmbientLeastK, g.AmbientMostK, least, most)
		_, err := r.Model.Format()
		must.Be(t, err == nil, "%v", err)
	}
	r := mustLearn(t, v, fills, "lag")
	check(r, 296, 296) // only one fill read it
	if !warned(r, "monday has no ambient temperature") || !warned(r, "tuesday has no ambient temperature") || warned(r, "wednesday has no ambient") {
		t.Errorf("warnings %q", r.Warnings)
	}
	ramp := r.Model.Range.RampMostPaS * 60 / bar
	must.Be(t, math.Abs(ramp-28) <= 1, "fastest ramp %.1f bar/min, want 28", ramp)
	fills[2].AmbientK = nil // the first gas temperatures stand in
	check(mustLearn(t, v, fills, "lag"), 286, 296)
	check(mustLearn(t, v, fills[1:2], "lag"), 291, 291)
}

// A long vessel is told apart whose far end was read in no fill; not one that a jet
// stirs whole, nor one with a reading there in any fill, nor one whose probe sits there.
func TestFarEndIsUnread(t *testing.T) {
	for _, c := range []struct {
		what    string
		change  func(p *vessel.Profile)
		readsAt []int
		unread  bool
	}{
		{"long", func(*vessel.Profile) {}, []int{readsGas, 0, 1}, true},
		{"short", func(p *vessel.Profile) { p.Length = 3 * p.InnerDiameter }, []int{readsGas, 0, 1}, false},
		{"long, read there", func(p *vessel.Profile) { p.Stations[1].End = vessel.EndFar }, []int{readsGas, 0, 1}, false},
		{"long, a station there without readings", func(p *vessel.Profile) { p.Stations[1].End = vessel.EndFar }, []int{readsGas, 0}, true},
		{"long, probe there", func(p *vessel.Profile) { p.Channels[1].End = vessel.EndFar }, []int{readsGas, 0, 1}, false},
	} {
		p := vessel.Invented()
		c.change(p)
		m := thermal.NewModel(p, fluidOf(p), 1)
		fills := []*prepared{{model: m, readsAt: []int{readsGas}}, {model: m, readsAt: c.readsAt}}
		must.Equal(t, farUnread(fills), c.unread, "%s: unread", c.what)
	}
}

// What no fill read of a far end stays as unsure as it was before the fills, however
// well a share of it would mend their fit, and what was fitted goes with it: were that
// end unmixed, the same readings would ask for another film and inflow. Who learns
// such a vessel is told.
func TestFarEndConsidered(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "lag-density", map[int]float64{thermal.ParFar: 0.7})
	r := mustLearn(t, v, three(t, v, pretended{variant: "lag-density", par: truth}), "lag-density")
	m := r.Model
	for _, par := range []int{thermal.ParFar, thermal.ParLnMix} {
		mean, sigma := wallmodel.PriorUnread(v, m.Variant, par)
		if got := math.Sqrt(m.Cov[par][par]); m.Params[par] != mean || math.Abs(got/sigma-1) > 1e-9 {
			t.Errorf("%s is %.3f ± %.3f, before the fills %.3f ± %.3f", thermal.ParName(par), m.Params[par], got, mean, sigma)
		}
	}
	for _, par := range []int{thermal.ParLnFilm, thermal.ParInflow} {
		goes := m.Cov[thermal.ParFar][par] / math.Sqrt(m.Cov[thermal.ParFar][thermal.ParFar]*m.Cov[par][par])
		must.Be(t, math.Abs(goes) >= 0.1, "%s goes with the far end by %.2f of one", thermal.ParName(par), goes)
	}
	must.Be(t, slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, "far end") }),
		"not told of the far end: %q", r.Warnings)
	must.Be(t, m.FarUnread(v), "the model does not show that no fill read its far end")
}
