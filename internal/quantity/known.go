package quantity

import "math"

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
