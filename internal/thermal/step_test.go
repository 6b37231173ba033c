package thermal

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
)

// testModel is a bare vessel: 10 L, one station, ideal air.
func testModel(cells int) *Model {
	return &Model{
		Fluid: gas.Ideal(gas.Air), VolumeM3: 0.01, AmbientPa: 101325, Sides: 1, AreaM2: [SidesMost]float64{0.45},
		Cells: cells, ThicknessM: 0.0028, ConductivityWMK: 0.55, AreaHeatJM2K: 1480 * 1050 * 0.0028,
	}
}

func testParams(film, outside float64) Params {
	var p Params
	p[ParLnFilm], p[ParLnOutside] = math.Log(film), math.Log(outside)
	p[ParLnBead], p[ParLnSkin] = math.Log(3), math.Log(3)
	return p
}

// A first-order lag has gone 63.2 % of a step after one time constant, and
// follows a ramp one time constant behind (exact solutions, any text).
func TestLagExact(t *testing.T) {
	y := Lag(0, 1, 1, 5, 5)
	if want := 1 - math.Exp(-1); math.Abs(y-want) > 1e-15 || math.Abs(y-0.632) > 5e-4 {
		t.Errorf("step answer after one time constant %v, want %v", y, want)
	}
	y = Lag(0, 0, 100, 100, 2)
	if want := 100 - 2 + 2*math.Exp(-50); math.Abs(y-want) > 1e-12 {
		t.Errorf("ramp answer %v, want %v", y, want)
	}
}

// The lumped filling of an ideal gas with constant inflow and constant hA
// has a closed answer (form after Xiao, Benard & Chahine, IJHE 2013-2016,
// citation from memory; re-derived): T = T* + (T0−T*)(m0/m)^(1+α).
func TestLumpedFill(t *testing.T) {
	m := testModel(1)
	m.AreaHeatJM2K = 1e12 // the wall keeps its temperature
	k, cv := 1.4, m.Fluid.CvJKgK(300, 1)
	r := m.Fluid.SpecificGasConstant()
	for _, alpha := range []float64{0, 0.5, 1, 2, 5} {
		const t0, tin, tw = 283.15, 298.15, 290.15
		p := testParams(1, 1e-9)
		mdot := 0.002
		hA := alpha * mdot * cv
		p[ParLnFilm] = math.Log(math.Max(hA/m.AreaM2[0], 1e-12))
		p[ParInflow] = tin - 293.15
		s := m.Uniform(tw)
		s.GasK = t0
		star := (k*tin + alpha*tw) / (1 + alpha)
		m0 := m.MassKg(t0, 101325)
		exact := func(mass float64) float64 { return star + (t0-star)*math.Pow(m0/mass, 1+alpha) }
		pa := 101325.0
		mass := m0
		var got float64
		const dt = 0.02
		for mass < 5*m0 {
			next := mass + mdot*dt
			p2 := next * r * exact(next) / m.VolumeM3 // the pressure that the exact fill shows
			f := m.StepOpen(&s, &p, pa, p2, 293.15, dt)
			pa, mass, got = p2, next, f.MassKg
		}
		must.Be(t, math.Abs(s.GasK-exact(mass)) <= 0.01 && math.Abs(got/mass-1) <= 1e-4,
			"alpha %v: gas %.4f K, want %.4f K; mass %.6f, want %.6f", alpha, s.GasK, exact(mass), got, mass)
	}
}

// Energy and mass close over a whole fill and coast.
func TestForecastCloses(t *testing.T) {
	for _, fluid := range []Fluid{gas.Ideal(gas.Air), gas.Table(gas.Air)} {
		m := testModel(6)
		m.Fluid = fluid
		p := testParams(60, 15)
		p[ParDensity], p[ParBuoyancy], p[ParJet] = 0.6, 0.3, 5
		s := m.Uniform(293.15)
		s.OutK[0] = 310
		energy := func(pa float64) float64 {
			rho := fluid.DensityKgM3(s.GasK, pa)
			e := rho * m.VolumeM3 * fluid.UJKg(s.GasK, rho)
			for j := 0; j < m.Cells; j++ {
				e += m.AreaM2[0] * m.AreaHeatJM2K / float64(m.Cells) * s.Wall[0][j]
			}
			return e
		}
		pa := 101325.0
		e0, m0 := energy(pa), m.MassKg(s.GasK, pa)
		var in, mass float64
		for i := 0; i < 100; i++ {
			f := m.StepOpen(&s, &p, pa, pa+40e3, 293.15, 1)
			pa += 40e3
			in += f.FlowJ - f.OutJ
			mass += f.InKg
		}
		for i := 0; i < 50; i++ {
			f := m.StepClosed(&s, &p, pa, 293.15, 5)
			pa = f.PressurePa
			in -= f.OutJ
		}
		scale := math.Abs(e0) + math.Abs(in)
		if d := energy(pa) - e0 - in; math.Abs(d) > 1e-6*scale {
			t.Errorf("%T: energy off by %g J of %g J", fluid, d, scale)
		}
		if d := m.MassKg(s.GasK, pa) - m0 - mass; math.Abs(d) > 1e-6*mass {
			t.Errorf("%T: mass off by %g kg of %g kg", fluid, d, mass)
		}
	}
}

// The film: density law, buoyancy law and jet are what the formula says.
func TestFilmLaws(t *testing.T) {
	p := testParams(50, 10)
	p[ParDensity], p[ParBuoyancy], p[ParJet] = 0.7, 0.3, 4
	// At 10 K the floor of 0.5 K adds a thousandth.
	must.Near(t, "reference", p.Film(DensityRefKgM3, BuoyancyRefK, 0), 50, 0.05)
	must.Near(t, "density", p.Film(80, 10, 0)/p.Film(20, 10, 0), math.Pow(4, 0.7), 1e-9)
	must.Near(t, "buoyancy", p.Film(20, 40, 0)/p.Film(20, 20, 0), math.Pow(2, 0.3), 1e-3)
	must.Near(t, "either sign", p.Film(20, -40, 0), p.Film(20, 40, 0), 0)
	must.Near(t, "jet at reference", p.Film(20, 10, InflowRefKgS)-p.Film(20, 10, 0), 16, 1e-9)
	must.Near(t, "jet law", (p.Film(20, 10, 2*InflowRefKgS)-p.Film(20, 10, 0))/16, math.Pow(2, 0.67), 1e-9)
	h := p.Film(20, 0, 0)
	must.Be(t, h > 1, "film without a difference %v, want a weak stirring", h)
	must.Near(t, "bead at reference", p.BeadS(DensityRefKgM3), 3, 1e-9)
	must.Be(t, p.BeadS(1) > p.BeadS(60), "a bead in thin gas is not slower than in dense gas")
}
