package gas

import "math"

// EOS is a gas by its Helmholtz equation of state, a = a⁰ + aʳ over RT in
// terms of δ = ρ/ρred and τ = Tred/T. It is the exact member of the package: a
// State takes somewhat under a microsecond. Uncertainty claimed by the papers
// in this range: density 0.1 % (air) and 0.02 % (nitrogen), heat capacities
// about 1 %. An EOS is never changed and is safe to share.
type EOS struct {
	species              Species
	molarMassKgMol       float64
	gasConstantJMolK     float64
	tempReducingK        float64
	densityReducingMolM3 float64
	ideal                idealPart
	terms                []term
	transport            *transport
}

// Equation gives the equation of state of a gas.
func Equation(s Species) *EOS {
	if s == Nitrogen {
		return &nitrogenEquation
	}
	return &airEquation
}

// MolarMassKgMol is the molar mass of the equation's paper, kg/mol.
func (e *EOS) MolarMassKgMol() float64 { return e.molarMassKgMol }

// SpecificGasConstant is R/M in J/(kg K), with the R of the equation's paper.
func (e *EOS) SpecificGasConstant() float64 { return e.gasConstantJMolK / e.molarMassKgMol }

func (e *EOS) densityReducing() float64 { return e.densityReducingMolM3 * e.molarMassKgMol }

// State gives everything at a temperature and density. Beyond the range it
// follows the equation, which is physical down to about 150 K at any density
// of the range and far above 450 K.
func (e *EOS) State(tempK, densityKgM3 float64) State {
	c := e.parts(tempK, densityKgM3)
	return c.state(e.SpecificGasConstant(), tempK, densityKgM3, math.Log(densityKgM3/e.densityReducing()))
}

// residualParts gives all but u0, cv0 and s0.
func (e *EOS) residualParts(tempK, densityKgM3 float64) parts {
	var dp densityPart
	var tp tempPart
	tau := e.tempReducingK / tempK
	e.densityPart(densityKgM3/e.densityReducing(), &dp)
	e.tempPart(tau, &tp)
	r := e.residual(&dp, &tp)
	var c parts
	e.addResidual(&c, &r, tempK, densityKgM3/e.densityReducing())
	return c
}

// parts gives all the parts of a State.
func (e *EOS) parts(tempK, densityKgM3 float64) parts {
	c := e.residualParts(tempK, densityKgM3)
	ideal := e.idealParts(tempK)
	c.u0, c.cv0, c.s0 = ideal.u0, ideal.cv0, ideal.s0
	return c
}

// idealParts fills u0, cv0 and s0.
func (e *EOS) idealParts(tempK float64) parts {
	gasConstant, tau := e.SpecificGasConstant(), e.tempReducingK/tempK
	a, a1, a2 := e.ideal.at(tau)
	return parts{
		u0:  gasConstant * e.tempReducingK * a1,
		cv0: -gasConstant * tau * tau * a2,
		s0:  gasConstant * (tau*a1 - a),
	}
}

// addResidual fills the rest. With αʳ = δ Σqg: αʳδ = Σ(q + δq′)g,
// αʳδδ = Σ(2q′ + δq″)g, αʳτ/δ = Σqg′.
func (e *EOS) addResidual(c *parts, r *residual, tempK, delta float64) {
	gasConstant, rhoRed := e.SpecificGasConstant(), e.densityReducing()
	tau := e.tempReducingK / tempK
	tauT := -tau / tempK
	c.zr = (r.qg + delta*r.q1g) / rhoRed
	c.zrT = (r.qg1 + delta*r.q1g1) / rhoRed * tauT
	c.zrRho = (2*r.q1g + delta*r.q2g) / (rhoRed * rhoRed)
	c.ur = gasConstant * e.tempReducingK * r.qg1 / rhoRed
	c.urT = gasConstant * e.tempReducingK * r.qg2 / rhoRed * tauT
	c.sr = gasConstant * (tau*r.qg1 - r.qg) / rhoRed
}

// PressurePa is the absolute pressure at a temperature and density.
func (e *EOS) PressurePa(tempK, densityKgM3 float64) float64 {
	c := e.residualParts(tempK, densityKgM3)
	return e.SpecificGasConstant() * tempK * densityKgM3 * (1 + densityKgM3*c.zr)
}

// UJKg is the internal energy.
func (e *EOS) UJKg(tempK, densityKgM3 float64) float64 {
	c := e.parts(tempK, densityKgM3)
	return c.u0 + densityKgM3*c.ur
}

// HJKg is the enthalpy.
func (e *EOS) HJKg(tempK, densityKgM3 float64) float64 {
	c := e.parts(tempK, densityKgM3)
	return c.u0 + densityKgM3*c.ur + e.SpecificGasConstant()*tempK*(1+densityKgM3*c.zr)
}

// CvJKgK is the heat capacity at constant volume.
func (e *EOS) CvJKgK(tempK, densityKgM3 float64) float64 {
	c := e.parts(tempK, densityKgM3)
	return c.cv0 + densityKgM3*c.urT
}
