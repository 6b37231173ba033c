package weather

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// TestConvectionPublished proves the two correlations on Incropera's examples:
// 7.4, a 12.7 mm cylinder at Re 6071, Pr 0.70, Nu 40.6; and 9.4, a 0.1 m pipe at
// Ra 5.073e6, Pr 0.697, Nu 23.3 (both from memory; the second comes to 23.1).
func TestConvectionPublished(t *testing.T) {
	near(t, "Nu across the wind", forcedNu(6071, 0.70), 40.6, 0.1)
	near(t, "Nu in still air", naturalNu(5.073e6, 0.697), 23.3, 0.3)
	rho, mu, k := airAt(300, 101325) // Incropera, table A.4: 1.1614, 184.6e-7, 26.3e-3 (from memory)
	near(t, "air density", rho, 1.1614, 0.016)
	near(t, "air viscosity", mu, 184.6e-7, 1e-7)
	near(t, "air conductivity", k, 26.3e-3, 0.3e-3)
}

// TestOutsideCoefficient proves convection on a tube of 96 mm at several winds
// against figures worked out apart from this code, of the same correlations.
func TestOutsideCoefficient(t *testing.T) {
	for _, c := range []struct{ windMS, want float64 }{{0, 4.5}, {0.5, 8.2}, {1, 11.3}, {2, 16.3}, {4, 24}} {
		near(t, "convection", Convection(0.096, c.windMS, 313, 298, 101325), c.want, 0.08*c.want+0.3)
	}
	near(t, "radiation", Radiation(315, 312), 6.3, 0.1)
}

// TestSolAirTerms proves ASHRAE's terms: what a level face loses to a clear sky,
// 3.9 K at 17 W/m²K, nothing for a vertical one, and α/h_o of light and dark
// surfaces, 0.026 and 0.052 m²K/W.
func TestSolAirTerms(t *testing.T) {
	const file = "solair.csv"
	ho := value(t, file, "h_o used")
	p := Pad{Absorptance: 0.5}
	near(t, "loss of a level face, K", -p.absorbed(1)/ho, value(t, file, "eps*dR/h_o horizontal"), 0.6) // 3.3 with ε 0.9; ASHRAE has ε 1
	near(t, "loss of a level black face, K", skyLossWM2/ho, value(t, file, "eps*dR/h_o horizontal"), 0.25)
	near(t, "loss of a vertical face, K", p.absorbed(0)/ho, value(t, file, "eps*dR/h_o vertical"), 1e-12)
	// Their light surface is α 0.44, their dark one 0.88, at 17 W/m²K.
	near(t, "light", 0.44/ho, value(t, file, "alpha/h_o light"), 0.0005)
	near(t, "dark", 0.88/ho, value(t, file, "alpha/h_o dark"), 0.0005)
}

// TestGainTable proves peak and mean gain of a beam of 850 W/m² square on, with
// 100 W/m² of diffuse light, against a table worked out apart from this code, to a
// third of what such a gain is known to before the day (30 %).
func TestGainTable(t *testing.T) {
	for _, c := range []struct{ alpha, windMS, peakK, meanK float64 }{
		{0.2, 0.5, 13, 5}, {0.2, 1, 11, 4}, {0.2, 2, 8, 3}, {0.2, 4, 6, 2},
		{0.5, 0.5, 31, 12}, {0.5, 1, 26, 10}, {0.5, 2, 20, 8}, {0.5, 4, 15, 6},
		{0.9, 0.5, 52, 21}, {0.9, 1, 44, 17}, {0.9, 2, 36, 13}, {0.9, 4, 27, 10},
	} {
		p := Pad{AirK: 298, AirPa: 101325, WindMS: c.windMS, DiameterM: 0.096, Absorptance: c.alpha,
			Light: Sunlight{850, 100}, Sun: Sun{HeightRad: 0}, Pose: Pose{Standing: true}}
		g := p.Gains()
		near(t, "peak", g.ShadeK+g.LitK, c.peakK, 0.1*c.peakK+1)
		near(t, "mean", g.ShadeK+g.LitK/math.Pi, c.meanK, 0.1*c.meanK+1.2)
	}
}

// TestDarkOverLight proves what everybody sees: a dark finish stands 10 °C and
// more over a light one in the sun (common practice, no source).
func TestDarkOverLight(t *testing.T) {
	at := func(alpha float64) float64 {
		p := Pad{AirK: 303, AirPa: 101325, WindMS: 1.5, DiameterM: 0.096, Absorptance: alpha, Light: Measured(900), SquareOn: true}
		g := p.Gains()
		return g.ShadeK + g.LitK
	}
	d := at(0.9) - at(0.25)
	t.Logf("dark over light in 900 W/m² and 1.5 m/s: %.1f K", d)
	must.Be(t, d >= 10 && d < 50, "dark stands %.1f K over light", d)
}

// TestPose proves how a beam meets a vessel: full on one that stands when the sun
// is at the horizon, not at all from straight above, the other way about on one
// that lies, and nothing along its axis.
func TestPose(t *testing.T) {
	low, high := Sun{HeightRad: 0, AzimuthRad: math.Pi}, Sun{HeightRad: math.Pi / 2}
	for _, c := range []struct {
		what string
		pad  Pad
		want float64
	}{
		{"standing, low", Pad{Sun: low, Pose: Pose{Standing: true}}, 1},
		{"standing, high", Pad{Sun: high, Pose: Pose{Standing: true}}, 0},
		{"lying, high", Pad{Sun: high, Pose: Pose{HeadingRad: 1}}, 1},
		{"lying to the sun", Pad{Sun: low, Pose: Pose{HeadingRad: math.Pi}}, 0},
		{"lying across", Pad{Sun: low, Pose: Pose{HeadingRad: math.Pi / 2}}, 1},
		{"lying, heading not known", Pad{Sun: low, Pose: Pose{HeadingRad: math.NaN()}}, math.Sqrt(0.5)},
	} {
		got, _ := c.pad.across()
		near(t, c.what, got, c.want, 1e-9)
	}
}
