package gas

import "math"

// Brackets of the inverse solves: wide enough for a forecast that strays, and
// the functions are increasing throughout. Air of 1100 kg/m³ has more than
// 1000 bar even at 150 K.
const (
	solveTempLeastK = 150.0
	solveTempMostK  = 500.0
	solveDensityMax = 1100.0 // kg/m³
)

// DensityKgM3 is the density at a temperature and absolute pressure: the one
// root, as the range lies above the critical temperature. Below zero pressure
// it is zero; pressures beyond the bracket end at its edge.
func (e *EOS) DensityKgM3(tempK, pressurePa float64) float64 {
	return e.DensityNearKgM3(tempK, pressurePa, 0)
}

// DensityNearKgM3 is DensityKgM3 with a guess to start from, as of the step
// before, 0 for none; a good guess halves the time, a bad one does no harm.
func (e *EOS) DensityNearKgM3(tempK, pressurePa, guess float64) float64 {
	if pressurePa <= 0 {
		return 0
	}
	if !(guess > 0) {
		guess = pressurePa / (e.SpecificGasConstant() * tempK)
	}
	var dp densityPart
	var tp tempPart
	e.tempPart(e.tempReducingK/tempK, &tp)
	rt, rhoRed := e.SpecificGasConstant()*tempK, e.densityReducing()
	return solve(0, solveDensityMax, guess, func(rho float64) (float64, float64) {
		delta := rho / rhoRed
		e.densityPart(delta, &dp)
		var qg, q1g, q2g float64
		for i := range len(e.terms) {
			g := tp.g[i]
			qg += dp.q[i] * g
			q1g += dp.q1[i] * g
			q2g += dp.q2[i] * g
		}
		z := 1 + delta*(qg+delta*q1g)
		slope := 1 + delta*(2*qg+delta*(4*q1g+delta*q2g))
		return rho*rt*z - pressurePa, rt * slope
	})
}

// solveTempStartK is where a solve for temperature starts.
const solveTempStartK = 300.0

// TemperatureFromHK is the temperature at an absolute pressure and enthalpy.
// It ends at 150 or 500 K where the enthalpy lies beyond.
func (e *EOS) TemperatureFromHK(pressurePa, hJKg float64) float64 {
	rho := 0.0
	return solve(solveTempLeastK, solveTempMostK, solveTempStartK, func(tempK float64) (float64, float64) {
		rho = e.DensityNearKgM3(tempK, pressurePa, rho)
		c := e.parts(tempK, rho)
		s := c.state(e.SpecificGasConstant(), tempK, rho, 0)
		return s.HJKg - hJKg, s.CpJKgK
	})
}

// solveStepsMost bounds every inverse solve. Halving alone takes a bracket of
// relative width 1e8 down to the last bit in about 80 steps; Newton takes 3 to 6.
const solveStepsMost = 120

// solve finds where an increasing function crosses zero in [low, high] by
// Newton's method, kept inside a shrinking bracket by halving. It starts at x
// and ends after the first Newton step that is relatively below 1e-8, which
// leaves an error of about 1e-15. When there is no crossing it ends at the
// edge on the side where the crossing lies; NaN gives NaN.
func solve(low, high, x float64, f func(x float64) (y, slope float64)) float64 {
	if !(x > low && x < high) {
		x = low + (high-low)/2
	}
	for range solveStepsMost {
		y, slope := f(x)
		switch {
		case y == 0:
			return x
		case y < 0:
			low = x
		case y > 0:
			high = x
		default:
			return math.NaN()
		}
		next := x - y/slope
		if !(next > low && next < high) {
			if next = low + (high-low)/2; next <= low || next >= high {
				return x
			}
		} else if math.Abs(next-x) <= 1e-8*x {
			return next
		}
		x = next
	}
	return x
}
