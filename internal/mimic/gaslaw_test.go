package mimic

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
)

func lawNamed(name string) *gasLaw {
	if name == "nitrogen" {
		return lawOf(gas.Nitrogen)
	}
	return lawOf(gas.Air)
}

// The virial law gives the densities, energies and heat capacities of the
// reference equations (testdata/README.md), to the accuracy it states.
func TestGasLawMatchesReferenceEquations(t *testing.T) {
	for _, r := range must.Table(t, "testdata/eos_grid.csv", 4) {
		g, tempK := lawNamed(r["gas"]), number(t, r["T_K"])
		rho := number(t, r["rho_kg_m3"])
		name := r["gas"] + " " + r["T_K"] + " K " + r["p_bar"] + " bar"
		must.Near(t, name+" density", g.densityKgM3(number(t, r["p_bar"])*bar, tempK), rho, 1.2e-3*rho)
		u, cv, _ := g.energy(rho, tempK)
		zero, _, _ := g.energy(g.densityKgM3(bar, 300), 300) // the table counts from 300 K, 1 bar
		must.Near(t, name+" u", u-zero, number(t, r["u_minus_uref_J_kg"]), 200)
		must.Near(t, name+" cv", cv, number(t, r["cv_J_kgK"]), 12)
	}
}

// Energy and pressure belong to one Helmholtz function: (∂u/∂ρ)_T =
// (p − T ∂p/∂T)/ρ² (Maxwell), and cv is ∂u/∂T.
func TestGasLawIsConsistent(t *testing.T) {
	for _, g := range []*gasLaw{&airLaw, &nitrogenLaw} {
		for _, rho := range []float64{1.2, 20, 60, 150} {
			for _, tempK := range []float64{240, 300, 390} {
				_, cv, slope := g.energy(rho, tempK)
				const dT = 0.01
				up, down := g.pressurePa(rho, tempK+dT), g.pressurePa(rho, tempK-dT)
				maxwell := (g.pressurePa(rho, tempK) - tempK*(up-down)/(2*dT)) / (rho * rho)
				must.Near(t, "du/drho", slope, maxwell, 1e-3+1e-5*math.Abs(maxwell))
				hi, _, _ := g.energy(rho, tempK+dT)
				lo, _, _ := g.energy(rho, tempK-dT)
				must.Near(t, "cv", cv, (hi-lo)/(2*dT), 1e-4*cv)
				u, _, _ := g.energy(rho, tempK)
				must.Near(t, "temperature of u", g.temperatureK(rho, u, 300), tempK, 1e-8)
			}
		}
	}
}

// Throttling from 200 bar at 293 K cools air as the Joule-Thomson effect of
// the reference equations says: h is constant, so the end state is found on
// the isenthalp. 0.23 K/bar at 20 °C and low pressure (eos_grid gives mu_JT).
func TestThrottlingFollowsJouleThomson(t *testing.T) {
	for _, r := range must.Table(t, "testdata/eos_grid.csv", 4) {
		p, tempK := number(t, r["p_bar"])*bar, number(t, r["T_K"])
		if p < 2*bar || p > 100*bar {
			continue
		}
		g := lawNamed(r["gas"])
		h := g.enthalpyJKg(g.densityKgM3(p, tempK), tempK)
		after := g.throttledK(h, p-bar, tempK)
		must.Near(t, "mu_JT at "+r["T_K"]+" K "+r["p_bar"]+" bar", tempK-after, number(t, r["mu_JT_K_bar"]), 0.02)
	}
}

// Transport properties against Lemmon & Jacobsen, table V, rows at 300 K.
func TestTransportMatchesPublishedTable(t *testing.T) {
	molar := map[string]float64{"air": 28.9586, "nitrogen": 28.01348} // kg/m³ per mol/dm³
	for _, r := range must.Table(t, "testdata/transport_published_check.csv", 4) {
		g := lawNamed(r["gas"])
		rho := number(t, r["rho_mol_dm3"]) * molar[r["gas"]]
		mu, k := number(t, r["viscosity_uPas_published"]), number(t, r["conductivity_mW_mK_published"])
		must.Near(t, r["gas"]+" viscosity", g.viscosityPaS(rho, 300)*1e6, mu, 0.02*mu)
		must.Near(t, r["gas"]+" conductivity", g.conductivityWMK(rho, 300)*1e3, k, 0.02*k)
	}
}

// Choked flow function ṁ√(R T₀)/(A p₀) = 0.6847 for k = 1.4 and critical
// pressure ratio 0.5283 (isentropic flow tables, NACA Report 1135).
func TestOrificeIsChokedAsTheTablesSay(t *testing.T) {
	const p, r, tempK = 40e5, 287.05, 300.0
	rho := p / (r * tempK)
	function := func(down float64) float64 { return orificeKgS(1, p, rho, down) * math.Sqrt(r*tempK) / p }
	must.Near(t, "choked", function(1e5), 0.68473, 1e-5)
	must.Near(t, "just choked", function(0.5282*p), 0.68473, 1e-5)
	must.Be(t, function(0.55*p) < 0.6845 && function(p) == 0 && function(1.1*p) == 0, "not choked above the critical ratio: %g %g", function(0.55*p), function(p))
	// Subcritical, by hand from the Mach number: p/p₀ = 0.8430 at M = 0.5, where
	// A/A* = 1.3398 (same tables).
	must.Near(t, "at Mach 0.5", function(0.84302*p), 0.68473/1.33984, 2e-5)
}
