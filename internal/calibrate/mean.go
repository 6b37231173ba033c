package calibrate

import "math"

// mean is the mean of a series that may be correlated from one value to the
// next.
type mean struct {
	value float64
	u     float64 // standard uncertainty (type A)
	dof   float64
}

// meanOf averages y. What is correlated does not average out: the variance of
// the mean is s²·τ/n with τ = 1 + 2·Σ(1 − k/n)·ρₖ, summed until the
// correlation has gone (JCGM 100:2008, 4.2.7, warns of it; the sum is that of
// Priestley 1981, 5.3, citation from memory). A series shorter than three
// gives NaN.
func meanOf(y []float64) mean {
	n := len(y)
	if n < 3 {
		return mean{math.NaN(), math.NaN(), math.NaN()}
	}
	var sum, square float64
	for _, v := range y {
		sum += v
	}
	m := sum / float64(n)
	for _, v := range y {
		square += (v - m) * (v - m)
	}
	tau := 1.0
	for k := 1; k <= n/3 && square > 0; k++ {
		var c float64
		for i := k; i < n; i++ {
			c += (y[i] - m) * (y[i-k] - m)
		}
		rho := c / square
		if rho <= 0 {
			break
		}
		tau += 2 * (1 - float64(k)/float64(n)) * rho
	}
	independent := math.Max(float64(n)/tau, 2)
	// The mean takes one of the independent values' freedom.
	variance := square / float64(n) * independent / (independent - 1)
	return mean{m, math.Sqrt(variance / independent), independent - 1}
}
