package calibrate

import "math"

// Line is the straight line y = Y0 + Slope·(x − X0) through readings, with
// what its scatter says of its uncertainty (JCGM 100:2008, H.3).
type Line struct {
	Y0, Slope   float64
	SY0, SSlope float64 // one standard uncertainty of each
	R           float64 // correlation of Y0 and Slope
	Scatter     float64 // of single readings about the line, one sigma
}

var unknownLine = Line{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}

// Fit is the least-squares line; X0 is where Y0 is wanted. With fewer than
// three readings, or all at one x, everything is NaN.
func Fit(x, y []float64, x0 float64) Line {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for i := range x {
		d := x[i] - x0
		sx, sy, sxx, sxy = sx+d, sy+y[i], sxx+d*d, sxy+d*y[i]
	}
	det := n*sxx - sx*sx
	if len(x) < 3 || !(det > 0) {
		return unknownLine
	}
	l := Line{Y0: (sy*sxx - sxy*sx) / det, Slope: (n*sxy - sx*sy) / det}
	var sse float64
	for i := range x {
		e := y[i] - l.Y0 - l.Slope*(x[i]-x0)
		sse += e * e
	}
	v := sse / (n - 2)
	l.Scatter = math.Sqrt(v)
	l.SY0, l.SSlope = math.Sqrt(v*sxx/det), math.Sqrt(v*n/det)
	l.R = -sx / math.Sqrt(n*sxx)
	return l
}

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
