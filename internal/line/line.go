// Package line is the straight line through readings, by least squares.
package line

import "math"

// Line is the straight line y = Y0 + Slope·(x − X0) through readings, with
// what its scatter says of its uncertainty (JCGM 100:2008, H.3).
type Line struct {
	Y0, Slope   float64
	SY0, SSlope float64 // one standard uncertainty of each
	Unit        float64 // of the slope, for readings that scatter by one
	R           float64 // correlation of Y0 and Slope
	Scatter     float64 // of single readings about the line, one sigma
}

// Unknown is no line: all of it is NaN.
var Unknown = Line{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}

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
		return Unknown
	}
	l := Line{Slope: (n*sxy - sx*sy) / det, Unit: math.Sqrt(n / det)}
	l.Y0 = (sy - l.Slope*sx) / n
	var sse float64
	for i := range x {
		e := y[i] - l.Y0 - l.Slope*(x[i]-x0)
		sse += e * e
	}
	v := sse / (n - 2)
	l.Scatter = math.Sqrt(v)
	l.SY0, l.SSlope = math.Sqrt(v*sxx/det), math.Sqrt(v)*l.Unit
	l.R = -sx / math.Sqrt(n*sxx)
	return l
}
