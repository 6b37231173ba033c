package mimic

import (
	"math"

	"fillwright/internal/gas"
)

// gasLaw is a virial expansion with temperature-dependent coefficients,
// written as a residual Helmholtz energy so that pressure, energy and heat
// capacity agree with each other:
//
//	a_res/(R T) = B r + C r²/2 + D r³/3 + E r⁴/4,  r = ρ/(100 kg/m³)
//	p = ρ R T (1 + B r + C r² + D r³ + E r⁴)
//	u = u₀(T) + R T τ ∂(a_res/RT)/∂τ,             τ = 300 K/T
//
// The coefficients are a least-squares fit, made for this package, to tables
// computed from the equations of Lemmon et al., JPCRD 29:331 (2000) for air
// and Span et al., JPCRD 29:1361 (2000) for nitrogen, 220 to 420 K, up to
// 350 bar. Against those tables z is within 3.1e-4 up to 70 bar and u within
// 120 J/kg; z is within 2e-3 and u within 340 J/kg over the whole range.
type gasLaw struct {
	rJKgK float64
	b     [4]float64 // powers of τ
	c     [3]float64
	d     [2]float64
	e     float64
	cv0   [4]float64 // ideal heat capacity, J/(kg K), powers of (T−300)/100
	// Transport relative to air at 300 K, from the check tables of Lemmon &
	// Jacobsen, Int. J. Thermophys. 25:21 (2004): factor at low density and
	// slope with density per kg/m³.
	visc, cond           float64
	viscSlope, condSlope float64
}

var (
	airLaw = gasLaw{
		rJKgK: 8.314462618 / 0.0289586,
		b:     [4]float64{0.129612044, -0.103376799, -0.0601552045, 0.00769263343},
		c:     [3]float64{0.0140347607, -0.000922293992, 0.00487428137},
		d:     [2]float64{0.000301512251, -0.0012880876},
		e:     0.000446272112,
		cv0:   [4]float64{717.898172, 4.94891558, 3.20720418, 0.38548128},
		visc:  1, cond: 1, viscSlope: 1.04e-3, condSlope: 1.64e-3,
	}
	nitrogenLaw = gasLaw{
		rJKgK: 8.314462618 / 0.02801348,
		b:     [4]float64{0.141865204, -0.101553846, -0.0667194285, 0.00996135945},
		c:     [3]float64{0.0143176557, -0.000359335514, 0.00464348849},
		d:     [2]float64{0.00111266071, -0.00127172801},
		e:     0.00044751598,
		cv0:   [4]float64{742.915278, 1.72717405, 1.96260145, 0.722645175},
		visc:  0.965, cond: 0.984, viscSlope: 1.14e-3, condSlope: 1.88e-3,
	}
)

// lawOf gives the law of a species.
func lawOf(s gas.Species) *gasLaw {
	if s == gas.Nitrogen {
		return &nitrogenLaw
	}
	return &airLaw
}

// compressibility is z and ∂(ρz)/∂ρ at fixed temperature.
func (g *gasLaw) compressibility(rho, tempK float64) (z, slope float64) {
	r, t := rho/100, 300/tempK
	b := g.b[0] + t*(g.b[1]+t*(g.b[2]+t*g.b[3]))
	c := g.c[0] + t*(g.c[1]+t*g.c[2])
	d := g.d[0] + t*g.d[1]
	z = 1 + r*(b+r*(c+r*(d+r*g.e)))
	slope = 1 + r*(2*b+r*(3*c+r*(4*d+r*5*g.e)))
	return z, slope
}

// pressurePa is absolute.
func (g *gasLaw) pressurePa(rho, tempK float64) float64 {
	z, _ := g.compressibility(rho, tempK)
	return rho * g.rJKgK * tempK * z
}

// densityKgM3 inverts pressurePa by Newton's method from the ideal gas.
func (g *gasLaw) densityKgM3(absPa, tempK float64) float64 {
	rho := absPa / (g.rJKgK * tempK)
	for range 12 {
		z, slope := g.compressibility(rho, tempK)
		step := (rho*z - absPa/(g.rJKgK*tempK)) / slope
		rho -= step
		if math.Abs(step) < 1e-12*rho {
			break
		}
	}
	return rho
}

// energy is the internal energy u (J/kg, zero for the ideal gas at 300 K),
// the heat capacity cv (J/(kg K)) and ∂u/∂ρ at fixed temperature.
func (g *gasLaw) energy(rho, tempK float64) (u, cv, slope float64) {
	x := (tempK - 300) / 100
	u = 100 * x * (g.cv0[0] + x*(g.cv0[1]/2+x*(g.cv0[2]/3+x*g.cv0[3]/4)))
	cv = g.cv0[0] + x*(g.cv0[1]+x*(g.cv0[2]+x*g.cv0[3]))
	r, t := rho/100, 300/tempK
	bt := g.b[1] + t*(2*g.b[2]+t*3*g.b[3])
	ct := g.c[1] + t*2*g.c[2]
	dt := g.d[1]
	rt := g.rJKgK * tempK * t
	u += rt * r * (bt + r*(ct/2+r*dt/3))
	slope = rt / 100 * (bt + r*(ct+r*dt))
	btt := 2*g.b[2] + t*6*g.b[3]
	cv -= g.rJKgK * t * t * r * (btt + r*g.c[2])
	return u, cv, slope
}

// enthalpyJKg is u + p/ρ.
func (g *gasLaw) enthalpyJKg(rho, tempK float64) float64 {
	u, _, _ := g.energy(rho, tempK)
	return u + g.pressurePa(rho, tempK)/rho
}

// temperatureK is the temperature at which the gas holds the energy u,
// starting the search at guessK.
func (g *gasLaw) temperatureK(rho, u, guessK float64) float64 {
	t := guessK
	for range 20 {
		have, cv, _ := g.energy(rho, t)
		step := (have - u) / cv
		t -= step
		if math.Abs(step) < 1e-11*t {
			break
		}
	}
	return t
}

// throttledK is the temperature after throttling to absPa without heat
// exchange (constant enthalpy), starting the search at guessK.
func (g *gasLaw) throttledK(enthalpyJKg, absPa, guessK float64) float64 {
	t := guessK
	for range 8 {
		rho := g.densityKgM3(absPa, t)
		u, cv, _ := g.energy(rho, t)
		step := (u + absPa/rho - enthalpyJKg) / (cv + g.rJKgK) // cp of the ideal gas is near enough to converge
		t -= step
		if math.Abs(step) < 1e-7 {
			break
		}
	}
	return t
}

// viscosityPaS and conductivityWMK: U.S. Standard Atmosphere 1976 for air at
// low density, times the factors of the law.
func (g *gasLaw) viscosityPaS(rho, tempK float64) float64 {
	return g.visc * (1 + g.viscSlope*rho) * 1.458e-6 * tempK * math.Sqrt(tempK) / (tempK + 110.4)
}

func (g *gasLaw) conductivityWMK(rho, tempK float64) float64 {
	low := 2.64638e-3 * tempK * math.Sqrt(tempK) / (tempK + 245.4*math.Pow(10, -12/tempK))
	return g.cond * (1 + g.condSlope*rho) * low
}
