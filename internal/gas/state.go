// Package gas gives the properties of dry air and nitrogen: from their
// published Helmholtz equations of state (Equation), from a smooth table of
// those equations for loops that must be fast (Table), and from the textbook
// perfect gas (Ideal).
//
// Pressures in this package are ABSOLUTE, in pascal, unlike the gauge
// pressures that people and files meet elsewhere in the program: add the
// ambient pressure before calling and take it off afterwards. Temperatures are
// in kelvin, densities in kg/m³, energies per kilogram.
//
// The range is 200 to 450 K and 0.01 kPa to 400 bar absolute. The functions are
// made for inner loops and give no error: beyond the range they are
// extrapolations. A NaN that goes in comes out again.
package gas

import "math"

// State is everything about a gas at one temperature and density. Energies,
// enthalpies and entropies count from the reference of the equation's paper
// (Equation) or from 0 K (Ideal): compare them only within one of them.
// Pressures are absolute.
type State struct {
	TempK           float64
	DensityKgM3     float64
	PressurePa      float64 // absolute
	Z               float64 // compressibility factor p/(ρRT)
	UJKg            float64 // internal energy
	HJKg            float64 // enthalpy
	SJKgK           float64 // entropy
	CvJKgK          float64
	CpJKgK          float64
	SoundMS         float64 // speed of sound
	JouleThomsonKPa float64 // (∂T/∂p) at constant enthalpy, K/Pa; positive: cools when throttled
	PressurePaK     float64 // (∂p/∂T) at constant density, Pa/K
	PressurePaKgM3  float64 // (∂p/∂ρ) at constant temperature, Pa/(kg/m³)
}

// parts is what a State is made of: the ideal part at the temperature, and the
// residual part divided by density so that it stays exact down to zero density.
//
//	z = 1 + ρ·zr,  u = u0 + ρ·ur,  s = s0 − R ln(ρ/ρred) + ρ·sr
type parts struct {
	u0, cv0, s0    float64 // ideal: J/kg, J/(kg K), J/(kg K) at ρred
	zr, zrT, zrRho float64 // and its slopes in T and ρ
	ur, urT        float64 // and its slope in T
	sr             float64
}

// state puts the parts together by the usual identities (for instance Span,
// Multiparameter Equations of State, 2000, table 3.9; rearranged so that
// nothing cancels at low density).
func (c *parts) state(gasConstant, tempK, rho, lnRho float64) State {
	k := gasConstant * (1 + rho*(c.zr+tempK*c.zrT)) // (∂p/∂T)/ρ
	slope := gasConstant * tempK * (1 + rho*(2*c.zr+rho*c.zrRho))
	s := State{
		TempK:          tempK,
		DensityKgM3:    rho,
		Z:              1 + rho*c.zr,
		UJKg:           c.u0 + rho*c.ur,
		SJKgK:          c.s0 - gasConstant*lnRho + rho*c.sr,
		CvJKgK:         c.cv0 + rho*c.urT,
		PressurePaK:    rho * k,
		PressurePaKgM3: slope,
	}
	specificPV := gasConstant * tempK * s.Z
	s.PressurePa = rho * specificPV
	s.HJKg = s.UJKg + specificPV
	s.CpJKgK = s.CvJKgK + tempK*k*k/slope
	s.SoundMS = math.Sqrt(max(s.CpJKgK/s.CvJKgK*slope, 0))
	s.JouleThomsonKPa = gasConstant * tempK * (tempK*c.zrT - c.zr - rho*c.zrRho) / (slope * s.CpJKgK)
	return s
}

// Species names a gas that the package knows.
type Species uint8

// The gases.
const (
	Air Species = iota
	Nitrogen
)

// String is the name used in a vessel profile.
func (s Species) String() string {
	if s == Nitrogen {
		return "nitrogen"
	}
	return "air"
}
