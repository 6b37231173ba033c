package gas

import "math"

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
