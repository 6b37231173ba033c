package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// Throttling keeps the enthalpy, cools at these conditions, and its slope is
// the Joule–Thomson coefficient.
func TestThrottleKeepsEnthalpy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Equation(drawSpecies(t))
		temp1K := rapid.Float64Range(260, 350).Draw(t, "T1")
		pressure1Pa := rapid.Float64Range(2e5, 30e6).Draw(t, "p1")
		pressure2Pa := rapid.Float64Range(1e5, pressure1Pa).Draw(t, "p2")
		temp2K := must.Get(e.ThrottleK(pressure1Pa, temp1K, pressure2Pa))(t)
		must.Need(t, temp2K <= temp1K+1e-6, "throttling warmed from %g to %g K", temp1K, temp2K)
		h1 := e.HJKg(temp1K, e.DensityKgM3(temp1K, pressure1Pa))
		closeTo(t, "h", e.HJKg(temp2K, e.DensityKgM3(temp2K, pressure2Pa)), h1, 1e-10, 1e-3)
		little := must.Get(e.ThrottleK(pressure1Pa, temp1K, pressure1Pa-1000))(t)
		closeTo(t, "µ", (temp1K-little)/1000, e.at(temp1K, pressure1Pa).JouleThomsonKPa, 1e-3, 1e-10)
	})
	for _, c := range [][3]float64{{30e6, 210, 1e5}, {50e6, 300, 1e5}, {30e6, 300, 0}, {30e6, 199.9, 29e6}} { // out of range on either side
		tempK, err := Equation(Air).ThrottleK(c[0], c[1], c[2])
		must.Be(t, err != nil && math.IsNaN(tempK), "%v gave %g K", c, tempK)
	}
}

// Pressure grows with density and energy with temperature over all of the
// bracket that the solves rely on.
func TestSolveBracketsAreMonotone(t *testing.T) {
	for _, sp := range bothSpecies {
		e := Equation(sp)
		for tempK := solveTempLeastK; tempK <= solveTempMostK; tempK += 5 {
			for rho := 0.0; rho <= solveDensityMax; rho += 5 {
				s := e.State(tempK, rho)
				must.Need(t, s.PressurePaKgM3 > 0 && s.CvJKgK > 0 && s.CpJKgK > 0 && (rho <= 0 || s.PressurePaK > 0),
					"%s %g K, %g kg/m³: %+v", sp, tempK, rho, s)
			}
			p := e.PressurePa(tempK, solveDensityMax)
			must.Be(t, p >= 1e8, "%s %g K: the bracket ends at %g Pa, below 1000 bar", sp, tempK, p)
		}
	}
}

// solve handles functions that defeat a bare Newton step, ends at the edge
// where there is no crossing, and passes NaN on.
func TestSolve(t *testing.T) {
	root := func(f func(x float64) (float64, float64), start float64) float64 { return solve(0, 100, start, f) }
	atan := func(x float64) (float64, float64) { return math.Atan(10 * (x - 3)), 10 / (1 + 100*(x-3)*(x-3)) }
	flat := func(x float64) (float64, float64) { return math.Cbrt(x - 3), 0 }
	for _, start := range []float64{-1, 0, 1, 2.9, 3, 50, 99.999, 1e9, math.NaN()} {
		x := root(atan, start)
		must.Be(t, math.Abs(x-3) <= 1e-12, "atan from %g: %.17g", start, x)
		x = root(flat, start)
		must.Be(t, math.Abs(x-3) <= 1e-12, "no slope, from %g: %.17g", start, x)
	}
	x := root(func(x float64) (float64, float64) { return x + 1, 1 }, 50)
	must.Be(t, x <= 1e-9, "crossing below the bracket: %g", x)
	x = root(func(x float64) (float64, float64) { return x - 200, 1 }, 50)
	must.Be(t, x >= 100-1e-9, "crossing above the bracket: %g", x)
	x = root(func(x float64) (float64, float64) { return math.NaN(), 1 }, 50)
	must.Be(t, math.IsNaN(x), "NaN gave %g", x)
}
