package gas

import "math"

// SpecificGasConstant is R/M in J/(kg K).
func (t *Tabulated) SpecificGasConstant() float64 { return t.gasConstant }

// PressurePa is the absolute pressure.
func (t *Tabulated) PressurePa(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).pressurePa
	}
	return t.gasConstant * tempK * densityKgM3 * (1 + densityKgM3*t.zr.value(p))
}

// UJKg is the internal energy.
func (t *Tabulated) UJKg(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).uJKg
	}
	u0, _ := t.idealEnergy(p)
	return u0 + densityKgM3*t.ur.value(p)
}

// HJKg is the enthalpy.
func (t *Tabulated) HJKg(tempK, densityKgM3 float64) float64 {
	p, ok := find(tempK, densityKgM3)
	if !ok {
		return t.beyond(tempK, densityKgM3).hJKg
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
		return s.uJKg, s.cvJKgK
	}
	u, cv = t.idealEnergy(p)
	ur, urx := t.ur.alongX(p)
	return u + rho*ur, cv + rho*urx*(1/tableTempStepK)
}

// DensityKgM3 is the density at a temperature and absolute pressure; zero for
// pressures below zero.
func (t *Tabulated) DensityKgM3(tempK, pressurePa float64) float64 {
	return t.DensityNearKgM3(tempK, pressurePa, 0)
}

// DensityNearKgM3 is DensityKgM3 with a guess to start from, 0 for none.
func (t *Tabulated) DensityNearKgM3(tempK, pressurePa, guess float64) float64 {
	if pressurePa <= 0 {
		return 0
	}
	rt := t.gasConstant * tempK
	if !(guess > 0) {
		guess = pressurePa / rt
	}
	return solve(0, tabulatedDensityMax, guess, func(rho float64) (float64, float64) {
		p, ok := find(tempK, rho)
		if !ok {
			s := t.beyond(tempK, rho)
			return s.pressurePa - pressurePa, s.paPerKgM3
		}
		zr, zry := t.zr.alongY(p)
		return rt*rho*(1+rho*zr) - pressurePa, rt * (1 + rho*(2*zr+rho*zry*(1/tableStepKgM3)))
	})
}

// tabulatedDensityMax is where the solve for a density ends at the latest.
const tabulatedDensityMax = 1e5 // kg/m³

// off is a state beyond the grid.
type off struct{ pressurePa, paPerKgM3, uJKg, hJKg, cvJKgK float64 }

// beyond goes on from the nearest edge of the grid: in a straight line along
// temperature (pressure and energy with their slopes at the edge), and along
// density with the compressibility factor and the energy of the edge.
func (t *Tabulated) beyond(tempK, rho float64) off {
	if nan := math.NaN(); math.IsNaN(tempK) || math.IsNaN(rho) {
		return off{nan, nan, nan, nan, nan}
	}
	edgeT := tableTempLowK + clamp(tempK-tableTempLowK, tableTempHighK-tableTempLowK)
	edgeRho := clamp(rho, tableDensityMax)
	p, _ := find(edgeT, edgeRho)
	u0, cv0 := t.idealEnergy(p)
	zr, zrx := t.zr.alongX(p)
	_, zry := t.zr.alongY(p)
	ur, urx := t.ur.alongX(p)
	rt := t.gasConstant * edgeT
	edgePV := rt * (1 + edgeRho*zr)                                            // p/ρ at the edge
	slopePV := t.gasConstant * (1 + edgeRho*(zr+edgeT*zrx*(1/tableTempStepK))) // its slope in temperature
	pv := edgePV + slopePV*(tempK-edgeT)
	s := off{pressurePa: rho * pv, cvJKgK: cv0 + edgeRho*urx*(1/tableTempStepK)}
	s.uJKg = u0 + edgeRho*ur + s.cvJKgK*(tempK-edgeT)
	s.hJKg = s.uJKg + pv
	if s.paPerKgM3 = rt * (1 + edgeRho*(2*zr+edgeRho*zry*(1/tableStepKgM3))) * pv / edgePV; rho != edgeRho {
		s.paPerKgM3 = pv
	}
	return s
}
