package thermal

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
)

// The throttle on the table is the throttle on the equations of state (Lemmon
// et al. 2000, Span et al. 2000; their own checks are in package gas), from
// any start and along a fill.
func TestInletThrottles(t *testing.T) {
	for _, species := range []gas.Species{gas.Air, gas.Nitrogen} {
		m, exact := testModel(1), gas.Equation(species)
		m.Fluid = gas.Table(species)
		for _, ambient := range []float64{263.15, 293.15, 313.15} {
			for _, supply := range []float64{10e5, 80e5, 200e5, 301e5} {
				s := m.Uniform(ambient)
				s.Supply.PressurePa = supply
				for p := 101325.0; p <= 60e5; p += 4.7e5 {
					got := m.InletK(&s, p, ambient)
					want := ambient
					if p < supply {
						var err error
						if want, err = exact.ThrottleK(supply, ambient, p); err != nil {
							t.Fatal(err)
						}
					}
					fresh := m.Uniform(ambient)
					fresh.Supply = s.Supply
					if again := m.InletK(&fresh, p, ambient); math.Abs(got-want) > 0.005 || math.Abs(again-got) > 1e-3 {
						t.Errorf("%v from %.0f bar, %.0f K to %.1f bar: %.4f K, %.4f K from a fresh start, want %.4f K", species, supply/1e5, ambient, p/1e5, got, again, want)
					}
				}
			}
		}
	}
	// Air from 300 bar at room temperature falls by tens of kelvin.
	m := testModel(1)
	m.Fluid = gas.Table(gas.Air)
	s := m.Uniform(293.15)
	s.Supply.PressurePa = 300e5
	drop := 293.15 - m.InletK(&s, 10e5, 293.15)
	must.Be(t, drop >= 35 && drop <= 60, "air from 300 to 10 bar cools by %.1f K, want 35 to 60", drop)
}

// An ideal gas does not change its temperature when throttled (its enthalpy
// depends on temperature alone), and an unknown or empty supply is no supply.
func TestInletAmbient(t *testing.T) {
	m := testModel(1)
	nan := math.NaN()
	for _, c := range []struct {
		supply Supply
		base   Inlet
		want   float64
	}{
		{Supply{}, InletAmbient, 290},
		{Supply{nan, nan}, InletAmbient, 290},
		{Supply{200e5, nan}, InletThrottled, 290},
		{Supply{2e5, 0}, InletThrottled, 290},
		{Supply{nan, 270}, InletMeasured, 270},
		{Supply{200e5, 270}, InletMeasured, 270},
	} {
		s := m.Uniform(300)
		s.Supply = c.supply
		if got := m.InletK(&s, 10e5, 290); math.Abs(got-c.want) > 1e-3 || c.supply.Inlet() != c.base {
			t.Errorf("%+v: %.4f K on %v, want %g K on %v", c.supply, got, c.supply.Inlet(), c.want, c.base)
		}
	}
}

// A forecast holds the supply as it is: the higher its pressure, the colder
// gas and wall, and what a step takes in is the throttled gas's enthalpy.
func TestSupplyCools(t *testing.T) {
	m := testModel(CellsLayered)
	m.Fluid = gas.Table(gas.Air)
	p := testParams(60, 15)
	last := math.Inf(1)
	for _, supply := range []float64{30e5, 100e5, 200e5, 300e5} {
		s := m.Uniform(293.15)
		s.Supply.PressurePa = supply
		run := m.Forecast(s, &p, 101325, Plan{RampPaS: 30e3, TargetPa: 25e5, HorizonS: 600, AmbientK: 293.15, UntilPeak: true}, nil)
		must.Be(t, run.PeakK < last, "supply at %.0f bar: wall peaks at %.2f K, not below %.2f K of a lower supply", supply/1e5, run.PeakK, last)
		last = run.PeakK
		f := m.StepOpen(&s, &p, 10e5, 10.1e5, 293.15, 1)
		before := m.Fluid.HJKg(293.15, m.Fluid.DensityKgM3(293.15, supply))
		must.Be(t, math.Abs(f.FlowJ-f.InKg*before) <= 0.5*f.InKg,
			"supply at %.0f bar: %.1f J/kg came in, %.1f J/kg left the cylinder", supply/1e5, f.FlowJ/f.InKg, before)
	}
}
