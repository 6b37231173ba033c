package thermal

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/gas"
	"fillwright/internal/must"
)

// emptied is a vent of ideal air from 40 bar through an opening at which the
// pressure begins to fall by 0.5 bar/s, until the flow is no longer choked.
func emptied(film float64, visit func(inS, pPa, gasK float64)) Run {
	m := testModel(1)
	m.AreaHeatJM2K = 1e12 // the wall keeps its temperature
	p := testParams(film, 1e-12)
	s := m.Uniform(300)
	return m.Vent(s, &p, 40e5, 0.5e5, 300, func(inS, pPa, _ float64, s *State) {
		if pPa > m.AmbientPa/criticalRatio {
			visit(inS, pPa, s.GasK)
		}
	})
}

// A vessel that empties through a fixed opening follows the exact courses of an
// ideal gas (blow-down of a tank, any text of gas dynamics, such as Saad,
// Compressible Fluid Flow; worked out here from ṁ = C p/√T): kept at one
// temperature p = p₀ exp(−t r/p₀) with r the first fall, and without heat
// p = p₀ (1 + (k−1)/(2k) t r/p₀)^(−2k/(k−1)), T = T₀ (p/p₀)^((k−1)/k).
func TestVentCourses(t *testing.T) {
	const p0, r, k = 40e5, 0.5e5, 1.4
	points := 0
	emptied(1e7, func(inS, pPa, gasK float64) {
		must.Near(t, "kept at its temperature: pressure", math.Log(pPa/(p0*math.Exp(-inS*r/p0))), 0, 0.01)
		must.Near(t, "temperature", gasK, 300, 0.1)
		points++
	})
	emptied(1e-12, func(inS, pPa, gasK float64) {
		want := p0 * math.Pow(1+(k-1)/(2*k)*inS*r/p0, -2*k/(k-1))
		must.Near(t, "without heat: pressure", math.Log(pPa/want), 0, 0.01)
		must.Near(t, "temperature", gasK, 300*math.Pow(pPa/p0, (k-1)/k), 0.1)
		points++
	})
	must.Be(t, points > 60, "%d points", points)
}

// Past the critical ratio the flow falls to nothing as ISO 6358 has it: at a
// pressure ratio of 0.75 ψ is √(1 − (0.222/0.472)²) = 0.8824, by hand. The
// isentropic nozzle (perfect gas at k = 1.4, NACA Report 1135) passes nearly as much.
func TestFlowShare(t *testing.T) {
	must.Near(t, "ψ at 0.75", flowShare(4e5, 3e5), 0.8824, 1e-4)
	must.Equal(t, flowShare(4e5, 2.1e5), 1, "choked")
	must.Equal(t, flowShare(1e5, 1e5), 0, "nothing drives it")
	nozzle := func(r float64) float64 {
		return math.Sqrt(math.Pow(r, 2/1.4)-math.Pow(r, 2.4/1.4)) / math.Sqrt(math.Pow(0.5283, 2/1.4)-math.Pow(0.5283, 2.4/1.4))
	}
	for r := 0.53; r < 0.98; r += 0.05 {
		must.Near(t, "nozzle against ellipse", nozzle(r)/flowShare(1e5, r*1e5), 1, 0.04)
	}
}

// Without heat the gas ends on the line of constant entropy
// (discharge_isentropic_realgas.csv), whatever the opening.
func TestVentIsentropic(t *testing.T) {
	for _, r := range must.Table(t, "testdata/discharge_isentropic_realgas.csv", 100) {
		m := testModel(1)
		m.Fluid = fluidNamed(t, r["gas"])
		m.AmbientPa = r.Num(t, "p2_bar_abs") * 1e5
		p := testParams(1e-12, 1e-12)
		p1, t1 := r.Num(t, "p1_bar_abs")*1e5, r.Num(t, "T1_K")
		run := m.Vent(m.Uniform(t1), &p, p1, p1/60, 293.15, nil)
		name := r["gas"] + " " + r["p1_bar_abs"] + " bar, " + r["T1_K"] + " K to " + r["p2_bar_abs"] + " bar"
		must.Near(t, name, run.ColdK, r.Num(t, "T2_K"), 0.25)
		must.Near(t, name+": mass left", run.MassKg/m.MassKg(t1, p1), r.Num(t, "m2_over_m1"), 2e-3)
	}
}

// In any vessel the coldest gas lies between no heat at all (constant entropy) and
// gas at the wall's own temperature, and a faster vent is no warmer. What does not
// fall is not known.
func TestVentBetweenBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, s, pa := drawVessel(t)
		m.Fluid = gas.Ideal(gas.Air)
		pa, s.GasK = max(pa, 2e5), s.Wall[0][0] // else a slow fall may be mostly gas, or a wall, that cools
		for i := range m.Sides {
			s.OutK[i] = s.GasK
		}
		rate := pa / rapid.Float64Range(20, 900).Draw(t, "s")
		cold := func(rate float64) float64 { return m.Vent(s, &p, pa, rate, 293, nil).ColdK }
		got := cold(rate)
		must.Need(t, got <= s.GasK+1e-9 && got > s.GasK*math.Pow(m.AmbientPa/pa, 0.4/1.4)-0.5, "coldest %v of %v", got, s.GasK)
		must.Need(t, cold(2*rate) <= got+0.3, "twice as fast %v, was %v", cold(2*rate), got)
		must.Need(t, math.IsNaN(cold(0)) && math.IsNaN(cold(math.NaN())) && math.IsNaN(cold(-rate)), "no fall: %v", cold(0))
	})
	m, p := testModel(1), usualParams()
	nan := m.Uniform(300)
	nan.Wall[0][0] = math.NaN()
	must.Be(t, math.IsNaN(m.Vent(nan, &p, 40e5, 1e4, 300, nil).ColdK), "an unknown wall: %v", m.Vent(nan, &p, 40e5, 1e4, 300, nil).ColdK)
	must.Equal(t, m.Vent(m.Uniform(300), &p, m.AmbientPa, 1e4, 300, nil).ColdK, 300, "empty already")
}
