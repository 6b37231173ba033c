package learn

import (
	"math"
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
	best := must.Get(f.best())(t)
	for _, factor := range starts {
		x := f.start()
		x[0] += math.Log(factor) // the film is the first shared parameter
		res := must.Get(f.fit(x))(t)
		must.Be(t, res.SSE >= best.SSE*(1-2e-3), "from a film ×%g: %.4g, kept: %.4g", factor, res.SSE, best.SSE)
	}
	z := (best.X[0] - truth[thermal.ParLnFilm])
	must.Be(t, math.Abs(z) <= 0.3, "film ends at %.1f W/m²K, truth 25", math.Exp(best.X[0]))
}
