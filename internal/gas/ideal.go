package gas

import "math"

// PerfectGas is the textbook gas: p = ρRT with constant heat capacities. It is
// for tests against textbook examples and for seeing what the real gas changes.
// Energies count from 0 K.
type PerfectGas struct {
	gasConstant float64 // J/(kg K)
	cv          float64 // J/(kg K)
}

// heatCapacityRatio is that of diatomic gases near 300 K, as textbooks use it
// for air and for nitrogen.
const heatCapacityRatio = 1.4

// Ideal gives the perfect gas with a species' molar mass and k = cp/cv = 1.4.
func Ideal(s Species) *PerfectGas {
	r := Equation(s).SpecificGasConstant()
	return &PerfectGas{gasConstant: r, cv: r / (heatCapacityRatio - 1)}
}

// SpecificGasConstant is R/M in J/(kg K).
func (g *PerfectGas) SpecificGasConstant() float64 { return g.gasConstant }

// State gives everything at a temperature and density; entropy counts from
// 300 K and 1 kg/m³.
func (g *PerfectGas) State(tempK, densityKgM3 float64) State {
	c := parts{u0: g.cv * tempK, cv0: g.cv, s0: g.cv * math.Log(tempK/300)}
	return c.state(g.gasConstant, tempK, densityKgM3, math.Log(densityKgM3))
}

// DensityKgM3 is the density at a temperature and absolute pressure.
func (g *PerfectGas) DensityKgM3(tempK, pressurePa float64) float64 {
	return pressurePa / (g.gasConstant * tempK)
}

// DensityNearKgM3 is DensityKgM3; a perfect gas needs no guess.
func (g *PerfectGas) DensityNearKgM3(tempK, pressurePa, _ float64) float64 {
	return g.DensityKgM3(tempK, pressurePa)
}

// PressurePa is the absolute pressure.
func (g *PerfectGas) PressurePa(tempK, densityKgM3 float64) float64 {
	return densityKgM3 * g.gasConstant * tempK
}

// UJKg is the internal energy.
func (g *PerfectGas) UJKg(tempK, _ float64) float64 { return g.cv * tempK }

// HJKg is the enthalpy.
func (g *PerfectGas) HJKg(tempK, _ float64) float64 { return (g.cv + g.gasConstant) * tempK }

// CvJKgK is the heat capacity at constant volume.
func (g *PerfectGas) CvJKgK(_, _ float64) float64 { return g.cv }
