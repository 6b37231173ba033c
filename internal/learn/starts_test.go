package learn

import (
	"math"
	"slices"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// A fit is begun from several films, wide apart, and its end does not hang on
// where it began: no start beats the one that is kept.
func TestSeveralStarts(t *testing.T) {
	must.Need(t, len(starts) >= 3, "%d starts", len(starts))
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 25, thermal.ParDensity: 0.8})
	r, _ := wallmodel.VariantNamed("layered")
	var all []*prepared
	for _, f := range three(t, v, pretended{variant: "layered", par: truth}) {
		p := must.Get(prepare(f, v, fluidOf(v), r.Cells))(t)
		all = append(all, p)
	}
	f := newFitter(v, r, all, shareInlet(all), farUnread(all))
	best := must.Get(f.best(nil))(t)
	for _, factor := range starts {
		x := f.start()
		x[0] += math.Log(factor) // the film is the first shared parameter
		res := must.Get(f.fit(x))(t)
		must.Be(t, res.SSE >= best.SSE*(1-2e-3), "from a film ×%g: %.4g, kept: %.4g", factor, res.SSE, best.SSE)
	}
	z := (best.X[0] - truth[thermal.ParLnFilm])
	must.Be(t, math.Abs(z) <= 0.3, "film ends at %.1f W/m²K, truth 25", math.Exp(best.X[0]))
}

// A variant is also begun from where the one before it ended: what both have stands
// there, what only it has at the handbook's, and what is kept is no worse than that.
func TestBeginsWhereThePoorerEnded(t *testing.T) {
	v := plover(t)
	fills := three(t, v, pretended{variant: "layered", par: paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 25})})
	fitted := func(variant string) *fitter {
		r, _ := wallmodel.VariantNamed(variant)
		var all []*prepared
		for _, f := range fills {
			all = append(all, must.Get(prepare(f, v, fluidOf(v), r.Cells))(t))
		}
		return newFitter(v, r, all, shareInlet(all), farUnread(all))
	}
	first, second := fitted("layered"), fitted("layered-buoyant")
	ended := first.outcome(must.Get(first.best(nil))(t))
	x := second.after(ended)
	must.Equal(t, len(x), second.k, "parameters")
	added := 0
	for i, par := range second.free {
		if !slices.Contains(first.free, par) {
			added++
			must.Equal(t, x[i], second.mean[i], "new parameter %d", par)
			continue
		}
		must.Equal(t, x[i], ended.Params[par], "parameter %d", par)
	}
	must.Be(t, added > 0, "%d parameters more", added)
	must.Equal(t, slices.Compare(x[second.shared():], ended.x[first.shared():]), 0, "the fills' own")
	from, best := must.Get(second.fit(x))(t), must.Get(second.best(ended))(t)
	must.Be(t, best.SSE <= from.SSE*(1+1e-3), "kept %.5g, from there %.5g", best.SSE, from.SSE)
}
