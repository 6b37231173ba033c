package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// hydrogen is normal hydrogen by its Helmholtz equation (Leachman, Jacobsen,
// Penoncello & Lemmon, J. Phys. Chem. Ref. Data 38:721, 2009), for tests alone:
// the program fills with air and nitrogen, but most measured fills are of
// hydrogen.
type hydrogen struct {
	gasR, redK, redKgM3 float64
	ideal               []idealTerm
	residual            []residualTerm
}

type idealTerm struct {
	kind     string
	n, theta float64
}

// residualTerm is n δ^d τ^t, times exp(−δ^l) where l > 0, times
// exp(−η (δ−ε)² − β (τ−γ)²) where η or β is not 0.
type residualTerm struct{ n, d, t, l, eta, beta, gamma, epsilon float64 }

func newHydrogen(t *testing.T) *hydrogen {
	t.Helper()
	h := &hydrogen{}
	consts := map[string]float64{}
	blank := func(r must.Row, key string) float64 {
		if r[key] == "" {
			return 0
		}
		return r.Num(t, key)
	}
	for _, r := range must.Table(t, "testdata/hydrogen_coefficients.csv", 27) {
		switch r["part"] {
		case "const":
			consts[r["term"]] = r.Num(t, "n")
		case "ideal":
			h.ideal = append(h.ideal, idealTerm{r["term"], r.Num(t, "n"), blank(r, "t_or_theta")})
		case "residual":
			h.residual = append(h.residual, residualTerm{r.Num(t, "n"), r.Num(t, "d"), r.Num(t, "t_or_theta"), blank(r, "l_or_c"),
				blank(r, "eta"), blank(r, "beta"), blank(r, "gamma"), blank(r, "epsilon")})
		}
	}
	molar := consts["M_kg_per_mol"]
	h.gasR, h.redK, h.redKgM3 = consts["R_J_per_molK"]/molar, consts["T_red_K"], consts["rho_red_mol_per_m3"]*molar
	must.Need(t, h.gasR > 4000 && h.redK > 30 && h.redKgM3 > 30 && len(h.ideal) == 9 && len(h.residual) == 14, "hydrogen is incomplete: %+v", h)
	return h
}

// slopes are derivatives of the reduced Helmholtz energy, each times the powers
// of δ and τ that it was taken in.
type slopes struct{ tau, tau2, delta, delta2, deltaTau float64 }

// of is the residual part's derivatives and, in tau and tau2, the ideal part's
// too.
func (h *hydrogen) of(tempK, densityKgM3 float64) (s slopes) {
	tau, delta := h.redK/tempK, densityKgM3/h.redKgM3
	for _, i := range h.ideal {
		switch i.kind {
		case "tau":
			s.tau += i.n * tau
		case "log_tau":
			s.tau, s.tau2 = s.tau+i.n, s.tau2-i.n
		case "planck_einstein":
			x := i.theta * tau
			s.tau += i.n * x / math.Expm1(x)
			s.tau2 -= i.n * x * x * math.Exp(x) / (math.Expm1(x) * math.Expm1(x))
		}
	}
	lnDelta, lnTau := math.Log(delta), math.Log(tau)
	for i := range h.residual {
		r := &h.residual[i]
		deltaL := 0.0
		if r.l > 0 {
			deltaL = math.Exp(r.l * lnDelta)
		}
		de, te := delta-r.epsilon, tau-r.gamma
		a := r.n * math.Exp(r.d*lnDelta+r.t*lnTau-deltaL-r.eta*de*de-r.beta*te*te)
		d := r.d - r.l*deltaL - 2*r.eta*delta*de
		u := r.t - 2*r.beta*tau*te
		s.delta += a * d
		s.delta2 += a * (d*d - r.d - r.l*(r.l-1)*deltaL - 2*r.eta*delta*delta)
		s.tau += a * u
		s.tau2 += a * (u*u - r.t - 2*r.beta*tau*tau)
		s.deltaTau += a * d * u
	}
	return s
}

func (h *hydrogen) PressurePa(tempK, densityKgM3 float64) float64 {
	return densityKgM3 * h.gasR * tempK * (1 + h.of(tempK, densityKgM3).delta)
}

// DensityKgM3 is by Newton's method from the ideal gas.
func (h *hydrogen) DensityKgM3(tempK, pressurePa float64) float64 {
	rho := pressurePa / (h.gasR * tempK)
	for i := 0; i < 50; i++ {
		s := h.of(tempK, rho)
		step := (rho*(1+s.delta)*h.gasR*tempK - pressurePa) / (h.gasR * tempK * (1 + 2*s.delta + s.delta2))
		rho -= step
		if math.Abs(step) < 1e-12*rho {
			return rho
		}
	}
	return math.NaN()
}

func (h *hydrogen) DensityNearKgM3(tempK, pressurePa, _ float64) float64 {
	return h.DensityKgM3(tempK, pressurePa)
}

func (h *hydrogen) UJKg(tempK, densityKgM3 float64) float64 {
	return h.gasR * tempK * h.of(tempK, densityKgM3).tau
}

func (h *hydrogen) HJKg(tempK, densityKgM3 float64) float64 {
	s := h.of(tempK, densityKgM3)
	return h.gasR * tempK * (1 + s.tau + s.delta)
}

func (h *hydrogen) CvJKgK(tempK, densityKgM3 float64) float64 {
	return -h.gasR * h.of(tempK, densityKgM3).tau2
}

// CpJKgK is c_v + R (1 + α_δ − α_δτ)²/(1 + 2 α_δ + α_δδ), with the residual
// derivatives times their powers (Span 2000, table 3.9).
func (h *hydrogen) CpJKgK(tempK, densityKgM3 float64) float64 {
	s := h.of(tempK, densityKgM3)
	k := 1 + s.delta - s.deltaTau
	return h.gasR * (-s.tau2 + k*k/(1+2*s.delta+s.delta2))
}

func (h *hydrogen) SpecificGasConstant() float64 { return h.gasR }

// The tests' hydrogen gives the states that are printed in the equation's paper
// (Leachman and others 2009, table 14), and those of another implementation of
// the same equation in the range of the fills (hydrogen_grid.csv).
func TestHydrogenPublished(t *testing.T) {
	h := newHydrogen(t)
	for _, r := range must.Table(t, "testdata/hydrogen_published.csv", 2) {
		tempK, rho := r.Num(t, "T_K"), r.Num(t, "rho_sat_vapour_kg_m3_published")
		name := "hydrogen at " + r["T_K"] + " K, "
		relative := func(what, key string, got, scale, tol float64) {
			want := r.Num(t, key) * scale
			must.Near(t, name+what, got/want, 1, tol)
		}
		relative("pressure", "p_kPa_published", h.PressurePa(tempK, rho), 1e3, 5e-5)
		relative("enthalpy", "h_kJ_kg_published", h.HJKg(tempK, rho), 1e3, 2e-5)
		relative("cv", "cv_kJ_kgK_published", h.CvJKgK(tempK, rho), 1e3, 2e-5)
		relative("cp", "cp_kJ_kgK_published", h.CpJKgK(tempK, rho), 1e3, 2e-4)
	}
	ref := h.DensityKgM3(300, 1e5)
	uRef, hRef := h.UJKg(300, ref), h.HJKg(300, ref)
	for _, r := range must.Table(t, "testdata/hydrogen_grid.csv", 50) {
		tempK, name := r.Num(t, "T_K"), "hydrogen at "+r["T_K"]+" K, "+r["p_bar"]+" bar, "
		rho := h.DensityKgM3(tempK, r.Num(t, "p_bar")*1e5)
		must.Near(t, name+"density", rho/r.Num(t, "rho_kg_m3"), 1, 1e-7)
		must.Near(t, name+"u", h.UJKg(tempK, rho)-uRef, r.Num(t, "u_minus_uref_J_kg"), 1)
		must.Near(t, name+"h", h.HJKg(tempK, rho)-hRef, r.Num(t, "h_minus_href_J_kg"), 1)
		must.Near(t, name+"cv", h.CvJKgK(tempK, rho)/r.Num(t, "cv_J_kgK"), 1, 1e-7)
		must.Near(t, name+"cp", h.CpJKgK(tempK, rho)/r.Num(t, "cp_J_kgK"), 1, 1e-7)
	}
}
