package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// What people who fill such vessels see lies in the handbook's band (common
// practice, no source): air compressed to 41 bar in 50 s in a thin-walled vessel
// of about 10 cm warms by some 40 K at a bead, a slow vent cools it to some −24 °C;
// a dark painted tube in full sun at 23 °C comes to about 56 °C on its sunny side
// within 10 minutes, its shaded side stays at least 10 K colder, and a white one
// comes to about 30 °C.
func TestCommonPractice(t *testing.T) {
	composite := vessel.Wall{Thickness: 0.0028, DensityKgM3: 1480, SpecificHeatJKgK: 1050, ConductivityWMK: 0.55}
	v := tube(0.10, 0.5, math.Pi/4*0.01*0.5, composite)
	m := thermal.NewModel(v, gas.Table(gas.Air), thermal.CellsLayered)
	const ambientK = 293.15
	d := drive(m, HandbookFor(v), ambientK, 0.5)
	d.pressure, d.endS = []point{{0, 1.013}, {50, 42}, {200, 42}, {200 + 41*5, 1.013}}, 410 // vent at 12 bar/min
	b := d.spread(ambientK)
	extreme := func(q int, sign float64) float64 {
		worst := b.value[q][0]
		for _, p := range b.value[q] {
			if sign*p.value > sign*worst.value {
				worst = p
			}
		}
		return worst.atS
	}
	for _, c := range []struct {
		name     string
		q        int
		sign     float64
		practice float64
	}{{"bead after 41 bar in 50 s", ranBead, 1, ambientK + 40}, {"gas in a slow vent", ranGas, -1, 273.15 - 24}} {
		value, sigma, _ := b.at(c.q, extreme(c.q, c.sign))
		band := 2 * math.Hypot(sigma, b.modelK)
		t.Logf("%s: %.0f ± %.0f °C, practice %.0f °C", c.name, value-273.15, band, c.practice-273.15)
		must.Be(t, math.Abs(value-c.practice) <= band && band < 40, "%s: %.1f ± %.1f K, practice %.1f K", c.name, value, band, c.practice)
	}

	// Ten minutes of sun: the band of the outside after what the wall follows.
	const airK, soakS = 296.15, 600.0
	sun := func(absorptance float64) (litK, shadeK, bandK float64) {
		gains := thermal.SunGains{Shade: handbookShade, Lit: SolAir(absorptance)}
		s := m.Uniform(airK)
		s.OutK[thermal.SideShade] = airK + gains.Shade.MeanK
		s.OutK[thermal.SideSun] = s.OutK[thermal.SideShade] + gains.Lit.MeanK
		p := HandbookFor(v).Params
		for i := 0; i < soakS; i++ {
			m.StepOpen(&s, &p, 101325, 101325, airK, 1)
		}
		_, litK = m.Faces(&s, &p, thermal.SideSun, 1.2, 0)
		_, shadeK = m.Faces(&s, &p, thermal.SideShade, 1.2, 0)
		follows := (litK - airK) / (s.OutK[thermal.SideSun] - airK)
		return litK, shadeK, 2 * math.Hypot(follows*math.Hypot(gains.Lit.SigmaK, gains.Shade.SigmaK), handbookDiscrepancyK)
	}
	for _, c := range []struct{ absorptance, practiceC float64 }{{0.89, 56}, {0.2, 30}} {
		lit, shade, band := sun(c.absorptance)
		t.Logf("paint of %.2f in the sun: %.0f ± %.0f °C, shaded side %.0f °C, practice %.0f °C", c.absorptance, lit-273.15, band, shade-273.15, c.practiceC)
		must.Near(t, "sunny side", lit-273.15, c.practiceC, band)
		must.Be(t, c.absorptance <= 0.5 || lit-shade >= 10, "the shaded side is only %.1f K colder", lit-shade)
	}
}
