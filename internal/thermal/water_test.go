package thermal

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// Energy closes with water in the vessel: what flowed in less what the outside
// took lies in gas, wall and water.
func TestWaterCloses(t *testing.T) {
	m := testModel(CellsLayered)
	m.Fluid, m.WaterJK, m.WaterAreaM2 = gas.Table(gas.Air), 0.5*4184, 0.0064
	p := testParams(60, 15)
	p[ParDensity], p[ParBuoyancy], p[ParJet] = 0.6, 0.3, 5
	s := m.Uniform(293.15)
	s.Supply.PressurePa = 200e5
	energy := func(pa float64) float64 {
		rho := m.Fluid.DensityKgM3(s.GasK, pa)
		e := rho*m.VolumeM3*m.Fluid.UJKg(s.GasK, rho) + m.WaterJK*s.WaterK
		for j := 0; j < m.Cells; j++ {
			e += m.AreaM2[0] * m.AreaHeatJM2K / float64(m.Cells) * s.Wall[0][j]
		}
		return e
	}
	pa := 101325.0
	e0 := energy(pa)
	var in, flowed float64
	for i := 0; i < 100; i++ {
		f := m.StepOpen(&s, &p, pa, pa+40e3, 293.15, 1)
		pa += 40e3
		in += f.FlowJ - f.OutJ
		flowed += math.Abs(f.FlowJ)
	}
	must.Be(t, s.WaterK > 293.2, "hot gas left the water at %.2f K", s.WaterK)
	for i := 0; i < 50; i++ {
		f := m.StepClosed(&s, &p, pa, 293.15, 5)
		pa = f.PressurePa
		in -= f.OutJ
	}
	d := energy(pa) - e0 - in
	must.Be(t, math.Abs(d) <= 1e-6*flowed, "energy off by %g J of %g J", d, flowed)
}

// Water between gas and nothing else is a lump with one time constant: after
// τ = C/(hA) it has gone 63.2 % of the way (exact solution, any text).
func TestWaterLump(t *testing.T) {
	m := testModel(1)
	m.WaterJK, m.WaterAreaM2 = 100, 0.01
	m.AreaM2[0] = 1e-12
	m.VolumeM3 = 1e3 // so much gas that it keeps its temperature
	p := testParams(50, 1e-9)
	s := m.Uniform(293.15)
	s.GasK = 313.15
	tau := m.WaterJK / (50 * m.WaterAreaM2)
	pa := 10e5
	for i := 0; i < 100; i++ {
		pa = m.StepClosed(&s, &p, pa, 293.15, tau/100).PressurePa
	}
	must.Near(t, "share of the step", (s.WaterK-293.15)/20, 1-math.Exp(-1), 1e-3)
}

// Water takes part when the profile has some, cools the fill, and costs
// nothing else when it has none.
func TestWaterOfProfile(t *testing.T) {
	v := &vessel.Profile{InnerDiameter: 0.09, Length: 1.6, Volume: 0.0102, Stations: []vessel.Station{{Name: "wall"}}}
	if m := NewModel(v, gas.Ideal(gas.Air), 1); m.WaterJK != 0 || m.WaterAreaM2 != 0 {
		t.Errorf("a dry vessel has %g J/K of water", m.WaterJK)
	}
	v.Water = 0.001
	m := NewModel(v, gas.Ideal(gas.Air), 1)
	must.Near(t, "one litre's heat, J/K", m.WaterJK, 4180, 20)
	must.Near(t, "cross-section, m²", m.WaterAreaM2, 0.00636, 1e-4)
	peak := func(waterJK float64) float64 {
		m := testModel(1)
		m.WaterJK, m.WaterAreaM2 = waterJK, 0.05
		p := testParams(60, 15)
		return m.Forecast(m.Uniform(293.15), &p, 101325, Plan{RampPaS: 40e3, TargetPa: 41e5, HorizonS: 900, AmbientK: 293.15, UntilPeak: true}, nil).PeakK
	}
	wet, dry := peak(4184), peak(0)
	must.Be(t, wet < dry, "wall peaks at %.2f K with water, %.2f K without", wet, dry)
}
