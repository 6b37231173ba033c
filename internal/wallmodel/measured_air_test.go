package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// Nitrogen let out of a steel vessel from 150 bar within 100 s (Haque,
// Richardson, Saville, Chamberlain & Shirvill 1992, experiment I1): driven by the
// measured pressure, the handbook's band holds the mean of the gas and both faces
// of the wall.
//
// The beads on the inner face read gas: at the end the faces still differ by 4.4 K,
// which through 25 mm of steel takes 290 W/m²K from gas of 2.5 kg/m³, thirty
// times more than convection gives there, and would cool a wall that warms. The
// share of gas that explains it is taken from that last point, and the readings
// are held with and without it.
func TestMeasuredNitrogenDischarge(t *testing.T) {
	e := measuredFill(t, "haque1992_I1")
	v := flatEnded(e.get(t, "inner_diameter"), e.get(t, "inner_length"), steel(e.get(t, "wall_thickness")))
	v.Gas = gas.Nitrogen
	m := thermal.NewModel(v, gas.Equation(gas.Nitrogen), thermal.CellsLayered)
	ambientK := e.get(t, "T_ambient")
	d := drive(m, HandbookFor(v), e.get(t, "T0"), 0.5)
	for i := range d.estimate.State.OutK {
		d.estimate.State.OutK[i] = ambientK
	}
	d.pressure, d.falling, d.sigmaBar, d.endS = e.history["pressure"], true, 0.25, 101
	b := d.spread(ambientK)
	mean, half := e.mid()
	inner, outer := e.history["wall_inner"], e.history["wall_outer"]

	b.hold(t, "nitrogen: gas, no lag", ranGas, mean, 1, finding{12.5, 1, 1.4, "(falls by 5 K/s there: 0.3 s of lag or of the time axis)"})
	b.hold(t, "nitrogen: gas by a bead", ranReading, mean, 1, finding{rmsMostK: 11.5})
	b.hold(t, "nitrogen: wall, inner face", ranInner, inner, 1, finding{4.0, 9, 0.8, "(its beads read gas)"})
	b.hold(t, "nitrogen: wall, outer face", ranOuter, outer, 1, finding{rmsMostK: 2.0})

	const endS = 100
	share := (at(outer, endS) - at(inner, endS)) / (at(outer, endS) - at(mean, endS))
	must.Be(t, share > 0.03 && share < 0.15, "beads on the inner face read a share of %.3f of the gas, which is not what the finding says", share)
	freed := make([]point, len(inner))
	for i, p := range inner {
		freed[i] = point{p.atS, (p.value - share*at(mean, p.atS)) / (1 - share)}
	}
	t.Logf("share of gas in the inner face's beads: %.3f", share)
	b.hold(t, "nitrogen: inner face, freed", ranInner, freed, 1, finding{rmsMostK: 2.3})

	d.filmHold(t, "nitrogen, discharge", mean, freed, []float64{10, 25, 50}, ambientK, 1, "")
	spreadHold(t, "nitrogen, discharge", mean, half, freed, 20, 100, 0.40)
}

// Air from the room let into an evacuated steel pipe, 1 bar within 20 s (nozzle
// of 2.71 mm; paper attributed): the bead stands between the handbook's gas and
// the handbook's bead, give or take the band. How much it lags nobody stated:
// the first seconds say by less than a second, the tail would need 5 s. Held as
// gas without any lag, the tail lies up to 2.8 K outside of a band by differences:
// thin gas that lies in layers keeps its heat at mid height for longer than the
// mean does. Draws from the same scatter hold it: half the film moves the gas
// further than a film by half again, and differences are taken to that side.
func TestMeasuredAirFill(t *testing.T) {
	e := measuredFill(t, "air_fill_2.71mm")
	v := flatEnded(e.get(t, "inner_diameter"), e.get(t, "inner_length"), steel(e.get(t, "wall_thickness")))
	m := thermal.NewModel(v, gas.Equation(gas.Air), thermal.CellsLayered)
	ambientK := e.get(t, "T_ambient")
	d := drive(m, HandbookFor(v), e.get(t, "T0"), 0.5)
	h := []point{{0, e.get(t, "p0")}}
	for _, p := range e.history["pressure"] {
		if p.value > h[len(h)-1].value { // neither a reading under the start nor the last thousandths at rest
			h = append(h, p)
		}
	}
	d.pressure, d.sigmaBar, d.endS = h, 0.01, 78 // a hundredth of the axis: 0.5 bar would be half of all
	b := d.spread(ambientK)
	seen := e.history["gas_high"]
	b.hold(t, "air: gas by a bead", ranReading, seen, 1, finding{rmsMostK: 4.5})
	b.hold(t, "air: gas, no lag", ranGas, seen, 1, finding{7.0, 6, 2.8, "(a bead at mid height, in gas that lies in layers)"})

	d.drawn(t, "air: gas, no lag, draws", ranGas, seen, ambientK, 1)

	// In gas of a hundredth of a fill's density the film is an extrapolation.
	wall := b.value[ranInner]
	d.filmHold(t, "air, filling", seen, wall, []float64{3, 12}, ambientK, 1, "")
	d.filmHold(t, "air, at rest", seen, wall, []float64{25, 75}, ambientK, 4, "(at rest in thin gas)")
}

// spreadHold prints how far half the gas's spread is a share of gas minus wall
// between two times, and how much of it the handbook's prior reaches; the
// handbook's own words are 0.08 to 0.35.
func spreadHold(t *testing.T, name string, mean, half, wall []point, fromS, toS, shareMost float64) {
	t.Helper()
	prior := priors[thermal.ParUneven]
	least, most, sum, n, within := math.Inf(1), 0.0, 0.0, 0, 0
	for i, p := range half {
		if p.atS < fromS || p.atS > toS {
			continue
		}
		share := p.value / math.Abs(mean[i].value-at(wall, p.atS))
		least, most, sum, n = math.Min(least, share), math.Max(most, share), sum+share, n+1
		if math.Abs(share-prior.mean) <= 2*prior.sigma {
			within++
		}
	}
	t.Logf("spread, %-22s %.3f to %.3f of gas minus wall, mean %.3f, over %d points; %d inside the prior of %.2f ± %.2f at two sigma",
		name, least, most, sum/float64(n), n, within, prior.mean, 2*prior.sigma)
	must.Be(t, n != 0 && least > 0 && most < shareMost && sum/float64(n) > 0.08,
		"%s: half the spread of the gas is %.3f to %.3f of gas minus wall, mean %.3f: not what the handbook quotes", name, least, most, sum/float64(n))
}
