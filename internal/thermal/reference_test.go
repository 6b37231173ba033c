package thermal

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
)

func fluidNamed(t *testing.T, name string) Fluid {
	t.Helper()
	switch name {
	case "air":
		return gas.Table(gas.Air)
	case "nitrogen":
		return gas.Table(gas.Nitrogen)
	}
	t.Fatalf("unknown gas %q", name)
	return nil
}

// throttledK is the temperature at pressurePa of gas throttled there at
// constant enthalpy (Joule–Thomson), by bisection.
func throttledK(f Fluid, hJKg, pressurePa float64) float64 {
	low, high := 120.0, 600.0
	for i := 0; i < 60; i++ {
		mid := 0.5 * (low + high)
		if f.HJKg(mid, f.DensityKgM3(mid, pressurePa)) < hJKg {
			low = mid
		} else {
			high = mid
		}
	}
	return 0.5 * (low + high)
}

// The end of an adiabatic fill, and of a fill with gas and wall at one
// temperature, agrees with the closed balance of the real gas
// (fill_limit_realgas.csv, Helmholtz equations of air and nitrogen). The
// supply's enthalpy reaches the inlet by throttling.
func TestFillLimitRealGas(t *testing.T) {
	for _, r := range must.Table(t, "testdata/fill_limit_realgas.csv", 90) {
		f := fluidNamed(t, r["gas"])
		m := testModel(1)
		m.Fluid = f
		wall := r.Num(t, "wall_heat_capacity_J_per_K_per_m3")
		p := testParams(1e-12, 1e-12)
		steps := 8
		if wall > 0 {
			m.AreaHeatJM2K = wall * m.VolumeM3 / m.AreaM2[0]
			p[ParLnFilm] = math.Log(1e8)
			steps = 200
		}
		p1, p2, t1 := r.Num(t, "p1_bar_abs")*1e5, r.Num(t, "p2_bar_abs")*1e5, r.Num(t, "T1_K")
		ps, ts := r.Num(t, "p_supply_bar_abs")*1e5, r.Num(t, "T_supply_K")
		supply := f.HJKg(ts, f.DensityKgM3(ts, ps))
		s := m.Uniform(t1)
		var flow Flow
		for i := 0; i < steps; i++ {
			a := p1 + (p2-p1)*float64(i)/float64(steps)
			b := p1 + (p2-p1)*float64(i+1)/float64(steps)
			flow = m.StepOpen(&s, &p, a, b, throttledK(f, supply, 0.5*(a+b)), 1)
		}
		name := r["gas"] + " " + r["p1_bar_abs"] + " to " + r["p2_bar_abs"] + " bar from " + r["p_supply_bar_abs"] + ", wall " + r["wall_heat_capacity_J_per_K_per_m3"]
		must.Near(t, name+": T2", s.GasK, r.Num(t, "T2_K"), 0.05)
		must.Near(t, name+": density", flow.DensityKgM3/r.Num(t, "rho2_kg_m3"), 1, 3e-4)
	}
}

// Gas that leaves without heat from the wall follows the line of constant
// entropy (discharge_isentropic_realgas.csv).
func TestDischargeIsentropic(t *testing.T) {
	for _, r := range must.Table(t, "testdata/discharge_isentropic_realgas.csv", 100) {
		m := testModel(1)
		m.Fluid = fluidNamed(t, r["gas"])
		p := testParams(1e-12, 1e-12)
		p1, p2, t1 := r.Num(t, "p1_bar_abs")*1e5, r.Num(t, "p2_bar_abs")*1e5, r.Num(t, "T1_K")
		s := m.Uniform(t1)
		m1, out := m.MassKg(t1, p1), 0.0
		const steps = 100
		var flow Flow
		for i := 0; i < steps; i++ {
			a := p1 * math.Pow(p2/p1, float64(i)/steps)
			b := p1 * math.Pow(p2/p1, float64(i+1)/steps)
			flow = m.StepOpen(&s, &p, a, b, 293.15, 1)
			out -= flow.InKg
			must.Need(t, flow.InKg <= 0 && flow.InflowKgS == 0, "inflow %g kg, %g kg/s during a discharge", flow.InKg, flow.InflowKgS)
		}
		name := r["gas"] + " " + r["p1_bar_abs"] + " bar, " + r["T1_K"] + " K to " + r["p2_bar_abs"] + " bar"
		must.Near(t, name+": T2", s.GasK, r.Num(t, "T2_K"), 0.06)
		must.Near(t, name+": mass left", flow.MassKg/m1, r.Num(t, "m2_over_m1"), 3e-4)
		must.Near(t, name+": mass gone", 1-out/m1, r.Num(t, "m2_over_m1"), 3e-4)
	}
}

// An evacuated insulated vessel fills to k times the inflow temperature, and
// one that holds gas to p2/(p1/T1 + (p2−p1)/(k T_in)) (any thermodynamics
// text; Balmer, Modern Engineering Thermodynamics, ex. 6.8: 20 °C air, k = 1.4
// ends at 137 °C).
func TestFillAdiabaticIdeal(t *testing.T) {
	m := testModel(1)
	p := testParams(1e-12, 1e-12)
	const tin = 293.15
	for _, c := range []struct{ p1, p2, t1 float64 }{{10, 1.4e6, 293.15}, {101325, 1.4e6, 293.15}, {101325, 5e6, 310}} {
		s := m.Uniform(c.t1)
		for i := 0; i < 50; i++ {
			a, b := c.p1+(c.p2-c.p1)*float64(i)/50, c.p1+(c.p2-c.p1)*float64(i+1)/50
			m.StepOpen(&s, &p, a, b, tin, 1)
		}
		must.Near(t, "end temperature", s.GasK, c.p2/(c.p1/c.t1+(c.p2-c.p1)/(1.4*tin)), 1e-3)
		if c.p1 == 10 {
			must.Near(t, "evacuated, Balmer ex. 6.8", s.GasK-273.15, 137.26, 0.02)
		}
	}
}

// The lumped fill, on the rows of fill_lumped_analytic.csv.
func TestLumpedTable(t *testing.T) {
	for _, r := range must.Table(t, "testdata/fill_lumped_analytic.csv", 25) {
		m := testModel(1)
		m.AreaHeatJM2K = 1e12
		cv, gasR := m.Fluid.CvJKgK(300, 1), m.Fluid.SpecificGasConstant()
		t0, tin, tw := r.Num(t, "T0_K"), r.Num(t, "T_in_K"), r.Num(t, "T_wall_K")
		alpha, ratio := r.Num(t, "alpha_hA_over_mdot_cv"), r.Num(t, "m_over_m0")
		const rate, steps = 0.002, 400
		p := testParams(math.Max(alpha*rate*cv/m.AreaM2[0], 1e-12), 1e-12)
		s := m.Uniform(tw)
		s.GasK = t0
		m0 := m.MassKg(t0, 101325)
		star := (1.4*tin + alpha*tw) / (1 + alpha)
		pressure := func(mass float64) float64 {
			return mass * gasR / m.VolumeM3 * (star + (t0-star)*math.Pow(m0/mass, 1+alpha))
		}
		for i := 0; i < steps; i++ {
			a, b := m0*math.Pow(ratio, float64(i)/steps), m0*math.Pow(ratio, float64(i+1)/steps)
			m.StepOpen(&s, &p, pressure(a), pressure(b), tin, (b-a)/rate)
		}
		must.Near(t, "alpha "+r["alpha_hA_over_mdot_cv"]+", mass ratio "+r["m_over_m0"], s.GasK, r.Num(t, "T_K"), 0.02)
	}
}
