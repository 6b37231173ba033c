package gas

import (
	"fmt"
	"math"
)

// The range that the package answers for: well inside that of both equations
// of state (air 60 to 2000 K and 2000 MPa, nitrogen 63 to 1000 K and 2200 MPa)
// and wider than any fill. Pressures are absolute.
const (
	TempLeastK      = 200.0
	TempMostK       = 450.0
	PressureLeastPa = 10.0
	PressureMostPa  = 40e6
)

// ThrottleK is the temperature after throttling from p1, T1 to p2 at constant
// enthalpy (Joule–Thomson), absolute pressures: what a supply at p1 delivers
// behind a valve. It gives NaN and an error when either side is out of range.
func (e *EOS) ThrottleK(pressure1Pa, temp1K, pressure2Pa float64) (float64, error) {
	after := math.NaN()
	if inRange(temp1K, pressure1Pa) {
		after = e.TemperatureFromHK(pressure2Pa, e.HJKg(temp1K, e.DensityKgM3(temp1K, pressure1Pa)))
	}
	if !inRange(after, pressure2Pa) {
		return math.NaN(), fmt.Errorf("%s throttled from %g Pa and %g K to %g Pa leaves the range of its properties",
			e.species, pressure1Pa, temp1K, pressure2Pa)
	}
	return after, nil
}

// inRange is false for what is not known.
func inRange(tempK, pressurePa float64) bool {
	return tempK >= TempLeastK && tempK <= TempMostK && pressurePa >= PressureLeastPa && pressurePa <= PressureMostPa
}
