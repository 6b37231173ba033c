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
