package gas

import "math"

// Species is the gas.
func (t *Tabulated) Species() Species { return t.equation.species }

// MolarMassKgMol is in kg/mol.
func (t *Tabulated) MolarMassKgMol() float64 { return t.equation.molarMassKgMol }

// SpecificGasConstant is R/M in J/(kg K).
func (t *Tabulated) SpecificGasConstant() float64 { return t.gasConstant }

// State gives everything at a temperature and density.
func (t *Tabulated) State(tempK, densityKgM3 float64) State {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3)
	}
	c := t.parts(p)
	return c.state(t.gasConstant, tempK, densityKgM3, math.Log(densityKgM3/t.equation.densityReducing()))
}

// PressurePa is the absolute pressure.
func (t *Tabulated) PressurePa(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).PressurePa
	}
	return t.gasConstant * tempK * densityKgM3 * (1 + densityKgM3*t.zr.value(p))
}

// UJKg is the internal energy.
func (t *Tabulated) UJKg(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).UJKg
	}
	u0, _ := t.idealEnergy(p)
	return u0 + densityKgM3*t.ur.value(p)
}

// HJKg is the enthalpy.
func (t *Tabulated) HJKg(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).HJKg
	}
	u0, _ := t.idealEnergy(p)
	return u0 + densityKgM3*t.ur.value(p) + t.gasConstant*tempK*(1+densityKgM3*t.zr.value(p))
}

// CvJKgK is the heat capacity at constant volume.
func (t *Tabulated) CvJKgK(tempK, densityKgM3 float64) float64 {
	_, cv := t.energy(tempK, densityKgM3)
	return cv
}

// energy gives the internal energy and its slope in temperature.
func (t *Tabulated) energy(tempK, rho float64) (u, cv float64) {
	p, ok := find(tempK, rho)
	if !ok {
		s := t.beyond(tempK, rho)
		return s.UJKg, s.CvJKgK
	}
	u, cv = t.idealEnergy(p)
	ur, urx := t.ur.alongX(p)
	return u + rho*ur, cv + rho*urx*(1/tableTempStepK)
}

// DensityKgM3 is the density at a temperature and absolute pressure; zero for
// pressures below zero.
func (t *Tabulated) DensityKgM3(tempK, pressurePa float64) float64 {
	if pressurePa <= 0 {
		return 0
	}
	rt := t.gasConstant * tempK
	return solve(0, tabulatedDensityMax, pressurePa/rt, func(rho float64) (float64, float64) {
		p, ok := find(tempK, rho)
		if !ok {
			s := t.beyond(tempK, rho)
			return s.PressurePa - pressurePa, s.PressurePaKgM3
		}
		zr, zry := t.zr.alongY(p)
		return rt*rho*(1+rho*zr) - pressurePa, rt * (1 + rho*(2*zr+rho*zry*(1/tableStepKgM3)))
	})
}

// Where the table's inverse solves end at the latest.
const (
	tabulatedTempMinK   = 1.0
	tabulatedTempMaxK   = 1e5
	tabulatedDensityMax = 1e5 // kg/m³
)

// TemperatureFromUK is the temperature at a density and internal energy.
func (t *Tabulated) TemperatureFromUK(densityKgM3, uJKg float64) float64 {
	return t.TemperatureFromUNearK(densityKgM3, uJKg, solveTempStartK)
}

// TemperatureFromUNearK is TemperatureFromUK with a guess to start from, as of
// the step before; a good guess halves the time, a bad one does no harm.
func (t *Tabulated) TemperatureFromUNearK(densityKgM3, uJKg, guessK float64) float64 {
	return solve(tabulatedTempMinK, tabulatedTempMaxK, guessK, func(tempK float64) (float64, float64) {
		u, cv := t.energy(tempK, densityKgM3)
		return u - uJKg, cv
	})
}

// TemperatureFromPK is the temperature at a density and absolute pressure; NaN
// when there is no gas.
func (t *Tabulated) TemperatureFromPK(densityKgM3, pressurePa float64) float64 {
	if densityKgM3 <= 0 {
		return math.NaN()
	}
	perDensity := pressurePa / densityKgM3
	return solve(tabulatedTempMinK, tabulatedTempMaxK, perDensity/t.gasConstant, func(tempK float64) (float64, float64) {
		p, ok := find(tempK, densityKgM3)
		if !ok {
			s := t.beyond(tempK, densityKgM3)
			return (s.PressurePa - pressurePa) / densityKgM3, s.PressurePaK / densityKgM3
		}
		zr, zrx := t.zr.alongX(p)
		z := 1 + densityKgM3*zr
		return t.gasConstant*tempK*z - perDensity, t.gasConstant * (z + densityKgM3*tempK*zrx*(1/tableTempStepK))
	})
}

// beyond goes on from the nearest edge of the grid: in a straight line along
// temperature (pressure and energy with their slopes at the edge), and along
// density with the compressibility factor and the energy of the edge. The
// other properties are those of the edge.
func (t *Tabulated) beyond(tempK, rho float64) State {
	if math.IsNaN(tempK) || math.IsNaN(rho) {
		return unknownState(tempK, rho)
	}
	edgeT := tableTempLowK + clamp(tempK-tableTempLowK, tableTempHighK-tableTempLowK)
	edgeRho := clamp(rho, tableDensityMax)
	p, _ := find(edgeT, edgeRho)
	c := t.parts(p)
	s := c.state(t.gasConstant, edgeT, edgeRho, math.Log(math.Max(rho, 0)/t.equation.densityReducing()))
	edgePV := t.gasConstant * edgeT * s.Z                       // p/ρ at the edge
	slopePV := t.gasConstant * (1 + edgeRho*(c.zr+edgeT*c.zrT)) // its slope in temperature
	pv := edgePV + slopePV*(tempK-edgeT)
	s.PressurePa, s.PressurePaK = rho*pv, rho*slopePV
	if s.PressurePaKgM3 *= pv / edgePV; rho != edgeRho {
		s.PressurePaKgM3 = pv
	}
	s.UJKg += s.CvJKgK * (tempK - edgeT)
	s.HJKg = s.UJKg + pv
	s.SJKgK += s.CvJKgK * math.Log(math.Max(tempK, tabulatedTempMinK)/edgeT)
	s.TempK, s.DensityKgM3 = tempK, rho
	s.Z = pv / (t.gasConstant * tempK)
	s.Inside = false
	return s
}
