package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// drawRange draws a temperature and pressure of the package's range, pressures
// evenly in their logarithm half of the time.
func drawRange(t *rapid.T) (tempK, pressurePa float64) {
	tempK = rapid.Float64Range(TempLeastK, TempMostK).Draw(t, "T")
	if rapid.Bool().Draw(t, "log") {
		return tempK, math.Exp(rapid.Float64Range(math.Log(PressureLeastPa), math.Log(PressureMostPa)).Draw(t, "ln p"))
	}
	return tempK, rapid.Float64Range(PressureLeastPa, PressureMostPa).Draw(t, "p")
}

func drawSpecies(t *rapid.T) Species {
	return rapid.SampledFrom(bothSpecies).Draw(t, "gas")
}

func closeTo(t *rapid.T, what string, got, want, relative, absolute float64) {
	t.Helper()
	must.Need(t, math.Abs(got-want) <= relative*math.Abs(want)+absolute, "%s: got %.12g, want %.12g", what, got, want)
}

// Every property of a State follows from u, s and p by thermodynamics: slopes
// by central differences against the analytic ones, Maxwell's relation, and
// the definitions of cp, speed of sound and Joule–Thomson coefficient.
func TestStatesAreConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Equation(drawSpecies(t))
		tempK, pressurePa := drawRange(t)
		rho := e.DensityKgM3(tempK, pressurePa)
		s := e.State(tempK, rho)
		dT, dRho := 1e-4*tempK, 1e-4*rho
		warm, cool := e.State(tempK+dT, rho), e.State(tempK-dT, rho)
		dense, thin := e.State(tempK, rho+dRho), e.State(tempK, rho-dRho)
		closeTo(t, "∂u/∂T = cv", (warm.UJKg-cool.UJKg)/(2*dT), s.CvJKgK, 1e-6, 0)
		closeTo(t, "T ∂s/∂T = cv", tempK*(warm.SJKgK-cool.SJKgK)/(2*dT), s.CvJKgK, 1e-6, 0)
		closeTo(t, "∂p/∂T", (warm.PressurePa-cool.PressurePa)/(2*dT), s.PressurePaK, 1e-6, 0)
		closeTo(t, "∂p/∂ρ", (dense.PressurePa-thin.PressurePa)/(2*dRho), s.PressurePaKgM3, 1e-6, 0)
		closeTo(t, "Maxwell −ρ² ∂s/∂ρ = ∂p/∂T", -rho*rho*(dense.SJKgK-thin.SJKgK)/(2*dRho), s.PressurePaK, 1e-6, 0)
		f := func(s State) float64 { return s.UJKg - s.TempK*s.SJKgK }
		closeTo(t, "ρ² ∂f/∂ρ = p", rho*rho*(f(dense)-f(thin))/(2*dRho), s.PressurePa, 1e-6, 0)
		closeTo(t, "h = u + p/ρ", s.HJKg, s.UJKg+s.PressurePa/rho, 1e-9, 1e-6)
		hot := e.State(tempK+dT, e.DensityKgM3(tempK+dT, pressurePa))
		cold := e.State(tempK-dT, e.DensityKgM3(tempK-dT, pressurePa))
		closeTo(t, "∂h/∂T at p = cp", (hot.HJKg-cold.HJKg)/(2*dT), s.CpJKgK, 1e-6, 0)
		// (∂p/∂ρ) at constant s by the step in T that keeps s.
		along := s.PressurePaKgM3 + s.PressurePaK*tempK*s.PressurePaK/(rho*rho*s.CvJKgK)
		closeTo(t, "w²", s.SoundMS*s.SoundMS, along, 1e-9, 0)
		up := e.HJKg(tempK, e.DensityKgM3(tempK, 1.0001*pressurePa))
		down := e.HJKg(tempK, e.DensityKgM3(tempK, 0.9999*pressurePa))
		throttling := -(up - down) / (2e-4 * pressurePa) / s.CpJKgK
		// At low pressure the difference of two enthalpies has few digits.
		closeTo(t, "µ = −(∂h/∂p)/cp", s.JouleThomsonKPa, throttling, 1e-5, 1e-8*math.Max(1e-2, 1e3/pressurePa))
	})
}

// At vanishing density both equations and tables are the ideal gas, exactly.
func TestZeroDensityIsIdeal(t *testing.T) {
	for _, sp := range bothSpecies {
		e := Equation(sp)
		for tempK := TempLeastK; tempK <= TempMostK; tempK += 10 {
			s := e.State(tempK, 1e-12)
			got := s.CpJKgK - s.CvJKgK
			must.Be(t, math.Abs(got-e.SpecificGasConstant()) <= 1e-9, "%s %g K: cp − cv = %g, not R", sp, tempK, got)
			at := e.State(tempK, 0)
			must.Be(t, at.PressurePa == 0 && at.Z == 1 && !math.IsNaN(at.JouleThomsonKPa), "%s %g K at zero density: %+v", sp, tempK, at)
			for _, f := range []fluid{e, Table(sp)} {
				z := f.PressurePa(tempK, 1e-12) / (1e-12 * f.SpecificGasConstant() * tempK)
				must.Be(t, math.Abs(z-1) <= 1e-14 && f.PressurePa(tempK, 0) == 0, "%T %s %g K: z = %.17g", f, sp, tempK, z)
			}
		}
	}
}

// The short functions say the same as State, and the density is the one of the
// pressure.
func TestShortFunctionsAgreeWithState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sp := drawSpecies(t)
		tempK, pressurePa := drawRange(t)
		e := Equation(sp)
		r := e.MolarMassKgMol() * e.SpecificGasConstant()
		must.Need(t, math.Abs(r-8.31451) <= 1e-9, "R = %g", r)
		for _, f := range []stated{e, Ideal(sp)} {
			rho := f.DensityKgM3(tempK, pressurePa)
			s := f.State(tempK, rho)
			closeTo(t, "p", f.PressurePa(tempK, rho), s.PressurePa, 1e-14, 0)
			closeTo(t, "u", f.UJKg(tempK, rho), s.UJKg, 1e-13, 1e-9)
			closeTo(t, "h", f.HJKg(tempK, rho), s.HJKg, 1e-13, 1e-9)
			closeTo(t, "cv", f.CvJKgK(tempK, rho), s.CvJKgK, 1e-13, 0)
		}
		for _, f := range []fluid{e, Table(sp), Ideal(sp)} {
			closeTo(t, "p(T, ρ(T, p))", f.PressurePa(tempK, f.DensityKgM3(tempK, pressurePa)), pressurePa, 1e-12, 0)
		}
		closeTo(t, "T(p, h)", e.TemperatureFromHK(pressurePa, e.at(tempK, pressurePa).HJKg), tempK, 1e-10, 0)
	})
}

// No number whatever makes a call panic or hang.
func TestAnyNumbersAreSurvived(t *testing.T) {
	odd := []float64{0, math.Copysign(0, -1), 1e-300, -1e-300, 1, -1, 300, 1e5, 1e300, -1e300, math.MaxFloat64,
		math.Inf(1), math.Inf(-1), math.NaN()}
	for _, sp := range append([]Species{200}, bothSpecies...) {
		e := Equation(sp)
		for _, a := range odd {
			for _, b := range odd {
				for _, f := range []fluid{e, Table(sp), Ideal(sp)} {
					for _, x := range []float64{f.PressurePa(a, b), f.UJKg(a, b), f.HJKg(a, b), f.CvJKgK(a, b), f.DensityKgM3(a, b)} {
						inside := a > TempLeastK && a < TempMostK && b > 1e-299 && b < 1e5
						must.Be(t, x != 0 || !inside, "%T(%g, %g) gave zero inside the range", f, a, b)
					}
				}
				e.TemperatureFromHK(a, b)
				x, err := e.ThrottleK(a, b, 1e5)
				must.Be(t, (err == nil) != math.IsNaN(x), "throttled from %g Pa, %g K: %g, %v", a, b, x, err)
			}
		}
	}
}
