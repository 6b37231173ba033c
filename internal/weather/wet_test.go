package weather

import (
	"testing"

	"fillwright/internal/must"
)

// TestSaturation proves the vapour pressure against ASHRAE's table: 3169 Pa at
// 25 °C and 611.2 Pa at 0 °C, water and ice alike (from memory).
func TestSaturation(t *testing.T) {
	near(t, "at 25 °C", SaturationPa(298.15), 3169.2, 0.5)
	near(t, "at 0 °C", SaturationPa(273.15), 611.2, 0.2)
	near(t, "over ice at 0 °C", SaturationPa(273.15-1e-6), 611.15, 0.2)
}

// TestPsychrometrics proves ASHRAE's example 1, 40 °C dry and 20 °C wet bulb at
// one atmosphere: 6.5 g/kg, 14 %, dew point 7 °C (from memory; the equation gives
// 6.40 g/kg and 14.0 %); and MetPy's documented one, 958 hPa, 25 and 12 °C: 627.5 Pa
// by a psychrometer of 6.21e-4 /K, which dries the bulb a little less than ASHRAE's.
func TestPsychrometrics(t *testing.T) {
	w := RatioFromWetBulb(313.15, 293.15, 101325)
	near(t, "humidity ratio", w, 6.40e-3, 0.01e-3)
	near(t, "printed humidity ratio", w, 6.5e-3, 0.12e-3)
	e := VapourPa(w, 101325)
	near(t, "relative humidity", e/SaturationPa(313.15), 0.14, 0.002)
	near(t, "dew point, °C", DewPointK(e)-273.15, 7, 0.5)
	near(t, "and back", WetBulbK(313.15, e/SaturationPa(313.15), 101325), 293.15, 1e-4)
	near(t, "vapour pressure at 958 hPa, that psychrometer", SaturationPa(285.15)-6.21e-4*95800*13, 627.5, 2)
	near(t, "vapour pressure at 958 hPa", VapourPa(RatioFromWetBulb(298.15, 285.15, 95800), 95800), 627.5, 32)
}

// TestWetContainer proves the wet face on Incropera's wet container: dry air of
// 40 °C, a liquid of 200 kg/kmol, 100 kJ/kg, 5000 Pa and 0.2e-4 m²/s settles at
// 278.9 K (from memory; 279.3 with these rounded properties).
func TestWetContainer(t *testing.T) {
	const conv = 10 // cancels
	e := evaporating{airK: 313.15, heatWM2K: conv, massMS: massMS(conv, 1.16, 1007, 22.9e-6, 0.2e-4),
		latentJKg: func(float64) float64 { return 100e3 },
		fullKgM3:  func(k float64) float64 { return 5000 * 200 / (8314.46 * k) }}
	near(t, "wet container, K", e.settleK(), 278.9, 0.6)
}

// TestWetWrap proves what a wrap comes to and how long it lasts against a table
// worked out apart from this code, and that it lies over the wet bulb in the sun.
func TestWetWrap(t *testing.T) {
	for _, c := range []struct{ airC, rh, gain, surfaceC, minutes, wetBulbC float64 }{
		{35, 0.2, 0, 20, 65, 18.9}, {35, 0.2, 270, 26, 38, 18.9}, {35, 0.2, 540, 31, 27, 18.9},
		{35, 0.4, 0, 25, 93, 23.9}, {35, 0.4, 270, 30, 45, 23.9}, {35, 0.4, 540, 34, 29, 23.9},
		{30, 0.6, 0, 24, 168, 23.8}, {30, 0.6, 270, 29, 58, 23.8}, {30, 0.6, 540, 34, 34, 23.8},
	} {
		p := Pad{AirK: c.airC + 273.15, AirPa: 101325, WindMS: 1, DiameterM: 0.096}
		skin, outside, loss := p.wetFace(c.rh, c.gain)
		near(t, "wet wall, °C", skin-273.15, c.surfaceC, 1)
		w := Wet{LossKgM2S: loss}
		near(t, "lasts, min", w.DryInS(0.4)/60, c.minutes, 0.1*c.minutes)
		near(t, "wet bulb, °C", WetBulbK(p.AirK, c.rh, p.AirPa)-273.15, c.wetBulbC, 0.2)
		must.Be(t, skin >= WetBulbK(p.AirK, c.rh, p.AirPa) && outside > 25, "wet wall at %.1f °C gives off %.0f W/m²K", skin-273.15, outside)
	}
}

// TestThinWrap proves what is common on a pad (no source): thin wet paper in the
// sun and a breeze is mostly dry after 15 minutes.
func TestThinWrap(t *testing.T) {
	const paperKgM2 = 0.15 // a sheet or two of kitchen paper, soaked
	p := Pad{AirK: 303.15, AirPa: 101325, WindMS: 2.5, DiameterM: 0.096, Absorptance: 0.4, Light: Measured(900), SquareOn: true}
	w := p.Wrapped(0.4)
	got := w.DryInS(paperKgM2) / 60
	t.Logf("%.2f kg/m² of water, 30 °C, 40 %%, 900 W/m², 2.5 m/s: dry after %.1f min", paperKgM2, got)
	must.Be(t, got > 4 && got < 15, "dry after %.1f min", got)
}
