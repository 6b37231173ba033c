package learn

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// A place at the far end that lies off the top sees less of the layers than one within
// the jet's reach: a fit that takes both for the same makes the end's gas colder for it.
// The truth is of the model's own make, all of it known but where that place lies.
func TestLayersAtTheFarEnd(t *testing.T) {
	const unmixed, offTop = 0.6, 0.7
	v := plover(t)
	v.Length = 14 * v.InnerDiameter
	v.Stations = append(v.Stations, vessel.Station{Name: "far", AreaFraction: math.NaN(), Absorptance: math.NaN(), End: vessel.EndFar})
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParUneven: 0.3, thermal.ParFar: unmixed})
	r, _ := wallmodel.VariantNamed("layered")
	fit := func(blind bool) float64 {
		var all []*prepared
		for _, f := range three(t, v, pretended{variant: "layered", par: truth, offTop: offTop}) {
			p := must.Get(prepare(f, v, fluidOf(v), r.Cells))(t)
			must.Need(t, p.farRead, "%s: nobody reads the far end", f.Name)
			p.farRead = !blind
			all = append(all, p)
		}
		return fitted(t, v, r, all)[thermal.ParFar]
	}
	told, untold := fit(false), fit(true)
	must.Be(t, math.Abs(told-unmixed) < 0.15, "unmixed %.3f, truth %.2f", told, unmixed)
	must.Be(t, math.Abs(told-unmixed) < math.Abs(untold-unmixed)-0.05, "with layers of its own %.3f, without %.3f, truth %.2f", told, untold, unmixed)
	p := must.Get(prepare(three(t, v, pretended{variant: "layered", par: truth})[0], v, fluidOf(v), r.Cells))(t)
	before := p.model.Places
	must.Equal(t, p.layersAtFar(-0.5).Places[len(v.Stations)-1].OfLayer, 0.5, "half of the layers")
	must.Equal(t, p.model.Places, before, "the model itself")
}
