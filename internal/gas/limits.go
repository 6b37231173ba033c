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

// Slack for a value that was computed to lie on an edge.
const edgeSlack = 1e-9

func inside(tempK, pressurePa float64) bool {
	return tempK >= TempLeastK*(1-edgeSlack) && tempK <= TempMostK*(1+edgeSlack) &&
		pressurePa >= PressureLeastPa*(1-edgeSlack) && pressurePa <= PressureMostPa*(1+edgeSlack)
}

// RangeError says which value lies outside the range of the properties.
type RangeError struct {
	Species  Species
	Quantity string // "temperature", "absolute pressure", "density", …
	Unit     string
	Value    float64
	Low      float64
	High     float64
}

// Error names the value and the range.
func (e *RangeError) Error() string {
	value := fmt.Sprintf("%.9g %s", e.Value, e.Unit)
	if math.IsNaN(e.Value) {
		value = "(not known)"
	}
	return fmt.Sprintf("properties of %s: %s %s is outside %.9g to %.9g %s",
		e.Species, e.Quantity, value, e.Low, e.High, e.Unit)
}

// within refuses what is not in [low, high], NaN included.
func (e *EOS) within(quantity, unit string, value, low, high float64) error {
	if value >= low-edgeSlack*math.Abs(low) && value <= high+edgeSlack*math.Abs(high) {
		return nil
	}
	return &RangeError{Species: e.species, Quantity: quantity, Unit: unit, Value: value, Low: low, High: high}
}

const (
	quantityTemp     = "temperature"
	quantityPressure = "absolute pressure"
	quantityDensity  = "density"
	quantityEnergy   = "internal energy"
	quantityEnthalpy = "enthalpy"
)

func (e *EOS) checkTemp(tempK float64) error {
	return e.within(quantityTemp, "K", tempK, TempLeastK, TempMostK)
}

func (e *EOS) checkPressure(pressurePa float64) error {
	return e.within(quantityPressure, "Pa", pressurePa, PressureLeastPa, PressureMostPa)
}

// checkDensity holds a density against the least and most that occur anywhere
// in the range.
func (e *EOS) checkDensity(rho float64) error {
	low := e.DensityKgM3(TempMostK, PressureLeastPa)
	high := e.DensityKgM3(TempLeastK, PressureMostPa)
	return e.within(quantityDensity, "kg/m³", rho, low, high)
}

func sqrtOrZero(x float64) float64 {
	if x < 0 {
		return 0
	}
	return math.Sqrt(x)
}
