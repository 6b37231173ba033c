// Package quantity holds typed physical quantities in SI units and reads and
// prints them with the units that an operator uses.
package quantity

import (
	"encoding/json"
	"math"
	"strconv"
)

// A type's comment gives its stored unit and sign. Pressures are gauge
// pressures wherever a person or a file meets them; the model adds the
// ambient pressure itself.
type (
	// Pressure is in pascal.
	Pressure float64
	// Temperature is in kelvin, absolute.
	Temperature float64
	// Difference is a temperature difference in kelvin.
	Difference float64
	// Length is in metre.
	Length float64
	// Volume is in cubic metre.
	Volume float64
	// Seconds is a duration in second.
	Seconds float64
	// Ramp is a rate of pressure rise in pascal per second.
	Ramp float64
	// Voltage is in volt.
	Voltage float64
)

// LeastKnown is the lesser of two numbers, passing over what is not known (NaN).
func LeastKnown(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

// MostKnown is the greater of two numbers, passing over what is not known (NaN).
func MostKnown(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// Decimals are those that a number with such a band is worth showing with: one
// from a tenth on, one more for each tenth of that, three at the most. A band that is not
// known, or none, gives one.
func Decimals(band float64) int {
	n := 1
	for b := band; b > 0 && b < 0.095 && n < 3; b *= 10 {
		n++
	}
	return n
}

// JSON is a number that is null in JSON when it is not known, or has no end.
type JSON float64

// MarshalJSON implements json.Marshaler.
func (n JSON) MarshalJSON() ([]byte, error) {
	if endless(float64(n)) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// JSON6 is the same of six digits, where more can mean nothing.
type JSON6 float64

// MarshalJSON implements json.Marshaler.
func (n JSON6) MarshalJSON() ([]byte, error) {
	if endless(float64(n)) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(n), 'g', 6, 64), nil
}

func endless(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }
