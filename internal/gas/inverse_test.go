package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Every inverse gives back what went in, from anywhere in the range and, for
// the warm starts, from any guess.
func TestInversesReturn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sp := drawSpecies(t)
		tempK, pressurePa := drawRange(t)
		guessK := rapid.Float64Range(-100, 2000).Draw(t, "guess")
		e, table, ideal := Equation(sp), Table(sp), Ideal(sp)
		for _, f := range []Fluid{e, table, ideal} {
			rho := f.DensityKgM3(tempK, pressurePa)
			closeTo(t, "p(T, ρ(T, p))", f.PressurePa(tempK, rho), pressurePa, 1e-12, 0)
			u := f.UJKg(tempK, rho)
			closeTo(t, "T(ρ, u)", f.TemperatureFromUK(rho, u), tempK, 1e-11, 0)
			closeTo(t, "T(ρ, p)", f.TemperatureFromPK(rho, pressurePa), tempK, 1e-11, 0)
			near, ok := f.(interface {
				TemperatureFromUNearK(densityKgM3, uJKg, guessK float64) float64
			})
			if !ok {
				t.Fatalf("%T has no warm start", f)
			}
			closeTo(t, "T(ρ, u) near", near.TemperatureFromUNearK(rho, u, guessK), tempK, 1e-11, 0)
		}
		rho := e.DensityKgM3(tempK, pressurePa)
		closeTo(t, "T(p, h)", e.TemperatureFromHK(pressurePa, e.HJKg(tempK, rho)), tempK, 1e-10, 0)
	})
}

// The checked forms agree with the unchecked ones and with each other.
func TestCheckedFormsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Equation(drawSpecies(t))
		tempK, pressurePa := drawRange(t)
		want, err := e.At(tempK, pressurePa)
		if err != nil {
			t.Fatal(err)
		}
		// The density of a state on the very edge may round to beyond it.
		if tempK < TempLeastK+1e-6 || tempK > TempMostK-1e-6 || pressurePa > PressureMostPa*(1-1e-9) || pressurePa < PressureLeastPa*(1+1e-9) {
			return
		}
		forms := map[string]func() (State, error){
			"AtDensity":         func() (State, error) { return e.AtDensity(tempK, want.DensityKgM3) },
			"AtEnergy":          func() (State, error) { return e.AtEnergy(want.DensityKgM3, want.UJKg) },
			"AtPressureDensity": func() (State, error) { return e.AtPressureDensity(pressurePa, want.DensityKgM3) },
			"AtEnthalpy":        func() (State, error) { return e.AtEnthalpy(pressurePa, want.HJKg) },
		}
		for name, form := range forms {
			got, err := form()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			closeTo(t, name+" T", got.TempK, tempK, 1e-10, 0)
			closeTo(t, name+" p", got.PressurePa, pressurePa, 1e-8, 0)
		}
		settle, err := e.SettlePressurePa(want.DensityKgM3, tempK)
		if err != nil {
			t.Fatal(err)
		}
		closeTo(t, "settle", settle, pressurePa, 1e-11, 0)
	})
}

// Throttling keeps the enthalpy, cools at these conditions, and its slope is
// the Joule–Thomson coefficient.
func TestThrottleKeepsEnthalpy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Equation(drawSpecies(t))
		temp1K := rapid.Float64Range(260, 350).Draw(t, "T1")
		pressure1Pa := rapid.Float64Range(2e5, 30e6).Draw(t, "p1")
		pressure2Pa := rapid.Float64Range(1e5, pressure1Pa).Draw(t, "p2")
		temp2K, err := e.ThrottleK(pressure1Pa, temp1K, pressure2Pa)
		if err != nil {
			t.Fatal(err)
		}
		if temp2K > temp1K+1e-6 {
			t.Fatalf("throttling warmed from %g to %g K", temp1K, temp2K)
		}
		h1 := e.HJKg(temp1K, e.DensityKgM3(temp1K, pressure1Pa))
		closeTo(t, "h", e.HJKg(temp2K, e.DensityKgM3(temp2K, pressure2Pa)), h1, 1e-10, 1e-3)
		little, err := e.ThrottleK(pressure1Pa, temp1K, pressure1Pa-1000)
		if err != nil {
			t.Fatal(err)
		}
		s, err := e.At(temp1K, pressure1Pa)
		if err != nil {
			t.Fatal(err)
		}
		closeTo(t, "µ", (temp1K-little)/1000, s.JouleThomsonKPa, 1e-3, 1e-10)
	})
}

// Pressure grows with density and energy with temperature over all of the
// bracket that the solves rely on.
func TestSolveBracketsAreMonotone(t *testing.T) {
	for _, sp := range bothSpecies {
		e := Equation(sp)
		for tempK := solveTempLeastK; tempK <= solveTempMostK; tempK += 5 {
			for rho := 0.0; rho <= solveDensityMax; rho += 5 {
				s := e.State(tempK, rho)
				if !(s.PressurePaKgM3 > 0 && s.CvJKgK > 0 && s.CpJKgK > 0) || (rho > 0 && !(s.PressurePaK > 0)) {
					t.Fatalf("%s %g K, %g kg/m³: %+v", sp, tempK, rho, s)
				}
			}
			if p := e.PressurePa(tempK, solveDensityMax); p < 1e8 {
				t.Errorf("%s %g K: the bracket ends at %g Pa, below 1000 bar", sp, tempK, p)
			}
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
		if x := root(atan, start); math.Abs(x-3) > 1e-12 {
			t.Errorf("atan from %g: %.17g", start, x)
		}
		if x := root(flat, start); math.Abs(x-3) > 1e-12 {
			t.Errorf("no slope, from %g: %.17g", start, x)
		}
	}
	if x := root(func(x float64) (float64, float64) { return x + 1, 1 }, 50); x > 1e-9 {
		t.Errorf("crossing below the bracket: %g", x)
	}
	if x := root(func(x float64) (float64, float64) { return x - 200, 1 }, 50); x < 100-1e-9 {
		t.Errorf("crossing above the bracket: %g", x)
	}
	if x := root(func(x float64) (float64, float64) { return math.NaN(), 1 }, 50); !math.IsNaN(x) {
		t.Errorf("NaN gave %g", x)
	}
}
