package gas

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// Values outside the range are refused with an error that names the value and
// the range; the edges themselves are inside.
func TestRange(t *testing.T) {
	nan := math.NaN()
	for _, sp := range bothSpecies {
		e := Equation(sp)
		state := func(_ State, err error) error { return err }
		number := func(x float64, err error) error {
			if err != nil && !math.IsNaN(x) {
				t.Errorf("%s: %v, yet a value %g", sp, err, x)
			}
			return err
		}
		cases := []struct {
			name     string
			err      error
			quantity string // empty: inside
			text     string
		}{
			{"cold edge", state(e.At(200, 1e5)), "", ""},
			{"hot edge", state(e.At(450, 400e5)), "", ""},
			{"near vacuum", state(e.At(300, 10)), "", ""},
			{"cold dense corner", state(e.At(200, 400e5)), "", ""},
			{"corner by density", state(e.AtDensity(200, e.DensityKgM3(200, 400e5))), "", ""},
			{"thin corner by density", state(e.AtDensity(450, e.DensityKgM3(450, 10))), "", ""},
			{"too cold", state(e.At(199.9, 1e5)), quantityTemp, "temperature 199.9 K is outside 200 to 450 K"},
			{"too hot", state(e.At(450.1, 1e5)), quantityTemp, "temperature 450.1 K is outside 200 to 450 K"},
			{"a hair too hot", state(e.At(450.00001, 1e5)), quantityTemp, "temperature 450.00001 K"},
			{"a hair too much", state(e.At(300, 400.00001e5)), quantityPressure, "absolute pressure 40000001 Pa"},
			{"vacuum", state(e.At(300, 0)), quantityPressure, "absolute pressure 0 Pa is outside 10 to 40000000 Pa"},
			{"negative", state(e.At(300, -5)), quantityPressure, "absolute pressure -5 Pa"},
			{"too much", state(e.At(300, 4.01e7)), quantityPressure, "absolute pressure 40100000 Pa"},
			{"unknown", state(e.At(nan, 1e5)), quantityTemp, "(not known)"},
			{"unknown pressure", state(e.At(300, nan)), quantityPressure, "(not known)"},
			{"no gas", state(e.AtDensity(300, 0)), quantityDensity, "density 0 kg/m³"},
			{"liquid", state(e.AtDensity(300, 800)), quantityDensity, "density 800 kg/m³"},
			{"dense and hot", state(e.AtDensity(450, 500)), quantityPressure, "absolute pressure"},
			{"cold energy", state(e.AtEnergy(10, -1e6)), quantityEnergy, "internal energy -1000000 J/kg"},
			{"dense energy", state(e.AtEnergy(500, e.UJKg(440, 500))), quantityPressure, "absolute pressure"},
			{"cold density", state(e.AtPressureDensity(1e5, 3)), quantityDensity, "density 3 kg/m³"},
			{"hot enthalpy", state(e.AtEnthalpy(1e5, 1e7)), quantityEnthalpy, "enthalpy 10000000 J/kg"},
			{"settle cold", number(e.SettlePressurePa(10, 100)), quantityTemp, "temperature 100 K"},
			{"throttle from a cold supply", number(e.ThrottleK(30e6, 210, 1e5)), quantityEnthalpy, "enthalpy"},
			{"throttle from nowhere", number(e.ThrottleK(50e6, 300, 1e5)), quantityPressure, "absolute pressure 50000000 Pa"},
			{"throttle to vacuum", number(e.ThrottleK(30e6, 300, 0)), quantityPressure, "absolute pressure 0 Pa"},
		}
		for _, c := range cases {
			if c.quantity == "" {
				if c.err != nil {
					t.Errorf("%s %s: %v", sp, c.name, c.err)
				}
				continue
			}
			var r *RangeError
			if !errors.As(c.err, &r) {
				t.Errorf("%s %s: error %v", sp, c.name, c.err)
				continue
			}
			if r.Quantity != c.quantity || r.Species != sp || !strings.Contains(r.Error(), c.text) || !strings.Contains(r.Error(), sp.String()) {
				t.Errorf("%s %s: %q, expected %s and %q", sp, c.name, r.Error(), c.quantity, c.text)
			}
		}
	}
}

// Inside turns false just beyond each edge, for each sort of Fluid.
func TestInside(t *testing.T) {
	for _, sp := range bothSpecies {
		for _, f := range []Fluid{Equation(sp), Table(sp), Ideal(sp)} {
			for _, c := range []struct {
				tempK, pressurePa float64
				want              bool
			}{
				{200, 1e5, true}, {199.99, 1e5, false}, {450, 1e5, true}, {450.01, 1e5, false},
				{300, 10, true}, {300, 9.99, false}, {300, 400e5, true}, {300, 400.01e5, false},
				{600, 1e5, false}, {100, 1e3, false},
			} {
				s := f.State(c.tempK, f.DensityKgM3(c.tempK, c.pressurePa))
				if s.Inside != c.want {
					t.Errorf("%T %s %g K, %g Pa: Inside = %v", f, sp, c.tempK, c.pressurePa, s.Inside)
				}
			}
		}
	}
}

// No number whatever makes a call panic or hang.
func TestAnyNumbersAreSurvived(t *testing.T) {
	odd := []float64{0, math.Copysign(0, -1), 1e-300, -1e-300, 1, -1, 300, 1e5, 1e300, -1e300, math.MaxFloat64,
		math.Inf(1), math.Inf(-1), math.NaN()}
	for _, sp := range append([]Species{200}, bothSpecies...) {
		for _, f := range []Fluid{Equation(sp), Table(sp), Ideal(sp)} {
			for _, a := range odd {
				for _, b := range odd {
					s := f.State(a, b)
					if s.Inside && !(a >= TempLeastK*0.999 && a <= TempMostK*1.001) {
						t.Errorf("%T State(%g, %g) is inside", f, a, b)
					}
					for _, x := range []float64{f.PressurePa(a, b), f.UJKg(a, b), f.HJKg(a, b), f.CvJKgK(a, b),
						f.DensityKgM3(a, b), f.TemperatureFromUK(a, b), f.TemperatureFromPK(a, b)} {
						if x == 0 && s.Inside && b > 0 {
							t.Errorf("%T(%g, %g) gave zero inside the range", f, a, b)
						}
					}
				}
			}
		}
		e := Equation(sp)
		for _, a := range odd {
			for _, b := range odd {
				if s, err := e.At(a, b); err == nil && !s.Inside {
					t.Errorf("At(%g, %g) gave %+v without an error", a, b, s)
				}
				if s, err := e.AtEnergy(a, b); err == nil && !s.Inside {
					t.Errorf("AtEnergy(%g, %g) gave %+v without an error", a, b, s)
				}
				if s, err := e.AtEnthalpy(a, b); err == nil && !s.Inside {
					t.Errorf("AtEnthalpy(%g, %g) gave %+v without an error", a, b, s)
				}
				if s, err := e.AtPressureDensity(a, b); err == nil && !s.Inside {
					t.Errorf("AtPressureDensity(%g, %g) gave %+v without an error", a, b, s)
				}
				e.TemperatureFromHK(a, b)
			}
		}
	}
}
