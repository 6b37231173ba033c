package learn

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// Fills from a cylinder of 200 bar. With its pressure in the record the inflow
// is fitted to what throttling leaves; without it, to ambient, where
// throttling shows as tens of kelvin of cold. The base is remembered, and the
// rest of the model is the same either way.
func TestInflowOnEachBase(t *testing.T) {
	t.Parallel()
	v := plover(t)
	v.Length, v.InnerDiameter = v.Length/2, v.InnerDiameter*math.Sqrt2 // what a far end that nobody reads may do looks like another inflow
	truth := paramsOf(t, "lag-density", map[int]float64{thermal.ParLnFilm: 70, thermal.ParDensity: 0.6, thermal.ParInflow: 9})
	c := pretended{variant: "lag-density", par: truth, supplyPa: 200e5, tellsPa: true}
	told := mustLearn(t, v, three(t, v, c), "lag-density")
	near3(t, told, truth, thermal.ParLnFilm, thermal.ParDensity, thermal.ParInflow)
	c.tellsPa = false
	untold := mustLearn(t, v, three(t, v, c), "lag-density")
	must.Need(t, told.Model.Inlet == thermal.InletThrottled && untold.Model.Inlet == thermal.InletAmbient,
		"learned on %v with supply pressure, on %v without", told.Model.Inlet, untold.Model.Inlet)
	throttled := must.Get(gas.Equation(gas.Air).ThrottleK(200e5, 291, 20e5))(t)
	want := throttled - 291 + 9
	if got := untold.Model.Params[thermal.ParInflow]; math.Abs(got-want) > 8 || !(want < -15) {
		t.Errorf("without supply pressure the inflow is %.1f K over ambient, throttled (EOS) and warmed it is %.1f K", got, want)
	}
	must.Be(t, told.Best().Outcome.StdErr[thermal.ParInflow] < 8, "inflow known to %.1f K", told.Best().Outcome.StdErr[thermal.ParInflow])
	d := told.Model.Params[thermal.ParLnFilm] - untold.Model.Params[thermal.ParLnFilm]
	must.Be(t, math.Abs(d) <= 0.15, "film differs by %.2f (ln) between the bases", d)
}

// One fill without the supply's pressure among fills that have it: the base
// is theirs, the odd one is named and does not drag their inflow away.
func TestInflowMixedBases(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "lag-density", map[int]float64{thermal.ParLnFilm: 70, thermal.ParDensity: 0.6, thermal.ParInflow: 9})
	fills := three(t, v, pretended{variant: "lag-density", par: truth, supplyPa: 200e5, tellsPa: true})
	fills[1].SupplyPa = nil
	r := mustLearn(t, v, fills, "lag-density")
	if r.Model.Inlet != thermal.InletThrottled || !warned(r, "the inflow of tuesday is known on another base (ambient)") || warned(r, "disagrees") {
		t.Errorf("base %v, warnings %q", r.Model.Inlet, r.Warnings)
	}
	near3(t, r, truth, thermal.ParLnFilm, thermal.ParInflow)
}

// A sensor in the line is believed before the cylinder's pressure, gaps in
// either are closed, and what was read in less than half of the inflow is no
// base.
func TestInletOf(t *testing.T) {
	v := plover(t)
	c := pretended{name: "a", variant: "lag", par: paramsOf(t, "lag", nil), rampBar: 20, toBar: 40, holdS: 30, ambientK: 290, supplyPa: 200e5, tellsPa: true}
	f := c.fill(t, v, 1)
	ready := func() *prepared {
		return must.Get(prepare(f, v, fluidOf(v), 1))(t)
	}
	inlet := func(p *prepared) (least, most float64) {
		least, most = math.Inf(1), math.Inf(-1)
		for _, b := range p.bins[1:] {
			least, most = math.Min(least, b.inletK), math.Max(most, b.inletK)
		}
		return least, most
	}
	for i := range f.SupplyPa {
		if i%3 == 0 || i < 40 {
			f.SupplyPa[i] = math.NaN()
		}
	}
	p := ready()
	exact := must.Get(gas.Equation(gas.Air).ThrottleK(200e5, 290, 2e5))(t)
	if least, most := inlet(p); p.inlet != thermal.InletThrottled || math.Abs(least-exact) > 1 || most > 290 {
		t.Errorf("%v, inflow from %.2f to %.2f K, throttled to 2 bar (EOS) %.2f K", p.inlet, least, most, exact)
	}
	f.SupplyK = make([]float64, len(f.TimeS))
	for i := range f.SupplyK {
		f.SupplyK[i] = 275
		if i%2 == 0 {
			f.SupplyK[i] = math.NaN()
		}
	}
	p = ready()
	if least, most := inlet(p); p.inlet != thermal.InletMeasured || least != 275 || most != 275 {
		t.Errorf("%v, inflow from %.2f to %.2f K, measured 275 K", p.inlet, least, most)
	}
	for i := len(f.TimeS) / 4; i < len(f.TimeS); i++ {
		f.SupplyK[i], f.SupplyPa[i] = math.NaN(), math.NaN()
	}
	p = ready()
	if least, most := inlet(p); p.inlet != thermal.InletAmbient || least != 0 || most != 0 {
		t.Errorf("%v, inflow from %.2f to %.2f K", p.inlet, least, most)
	}
}
