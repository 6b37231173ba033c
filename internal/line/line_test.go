package line

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// Calibration of a thermometer, JCGM 100:2008, H.3, table H.6 (values from
// memory): eleven corrections and the line through them.
func TestGumThermometer(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	l := Fit(x, y, 20)
	near := func(t *testing.T, what string, got, want, within float64) {
		t.Helper()
		must.Be(t, math.Abs(got-want) <= within, "%s %.6g, want %.6g", what, got, want)
	}
	near(t, "y1", l.Y0, -0.1712, 5e-5)
	near(t, "s(y1)", l.SY0, 0.0029, 5e-5)
	near(t, "y2", l.Slope, 0.00218, 5e-6)
	near(t, "s(y2)", l.SSlope, 0.00067, 5e-6)
	near(t, "r", l.R, -0.930, 5e-4)
	near(t, "s", l.Scatter, 0.0035, 5e-5)
	// H.3.4: at 30 °C the correction is −0.1494 °C with 0.0041 °C.
	at := l.Y0 + l.Slope*10
	u := math.Sqrt(l.SY0*l.SY0 + 100*l.SSlope*l.SSlope + 2*10*l.SY0*l.SSlope*l.R)
	near(t, "correction at 30 °C", at, -0.1494, 5e-5)
	near(t, "its uncertainty", u, 0.0041, 5e-5)
}

// Of two readings, or of readings all at one place, no line is known.
func TestUnknown(t *testing.T) {
	for _, x := range [][]float64{{1, 2}, {3, 3, 3, 3}} {
		l := Fit(x, make([]float64, len(x)), 0)
		must.Be(t, math.IsNaN(l.Slope) && math.IsNaN(l.Y0) && math.IsNaN(l.SSlope), "through x = %v: %+v", x, l)
	}
}
