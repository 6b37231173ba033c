package quantity

import (
	"math"
	"testing"
	"unicode/utf8"

	"fillwright/internal/must"
)

// Each system prints its own units; rounding leaves no "-0".
func TestSystem(t *testing.T) {
	tests := []struct{ got, want string }{
		{SystemBarC.Pressure(41e5), "41.0 bar"},
		{SystemPSIF.Pressure(float64(PSI(600))), "600 psi"},
		{SystemKPaC.Pressure(41e5), "4100 kPa"},
		{SystemBarC.Temperature(325.15), "52.0 °C"},
		{SystemPSIF.Temperature((125 + 459.67) * 5 / 9), "125.0 °F"},
		{SystemKPaC.Temperature(325.15), "52.0 °C"},
		{SystemBarC.Difference(5), "5.0 °C"},
		{SystemPSIF.Difference(5), "9.0 °F"},
		{SystemBarC.Ramp(5e4), "30.0 bar/min"},
		{SystemPSIF.Ramp(435 * psiPa / 60), "435 psi/min"},
		{SystemKPaC.Ramp(5e4), "3000 kPa/min"},
		{SystemBarC.Mass(0.1182), "118.2 g"},
		{SystemBarC.Pressure(-1), "0.0 bar"},
		{SystemPSIF.PressureNumber(-1), "0"},
		{SystemBarC.Pressure(-1e5), "-1.0 bar"},
		{SystemBarC.Pressure(math.NaN()), "--"},
		{SystemBarC.Temperature(math.Inf(1)), "--"},
		{SystemBarC.TemperatureNumber(325.15), "52.0"},
		{SystemBarC.DifferenceNumber(-6.84), "-6.8"},
		{SystemBarC.RampNumber(5e4), "30.0"},
		{System(77).Pressure(41e5), "41.0 bar"},
		{SystemPSIF.String(), "psi, °F"},
		{SystemBarC.RampUnit() + SystemPSIF.TemperatureUnit() + SystemKPaC.PressureUnit(), "bar/min°FkPa"},
	}
	for i, tt := range tests {
		must.Be(t, tt.got == tt.want, "%d: got %q, want %q", i, tt.got, tt.want)
	}
	must.Be(t, SystemBarC.Next() == SystemPSIF && SystemKPaC.Next() == SystemBarC, "Next does not go round")
}

// A chart's numbers are the printed ones before rounding.
func TestSystemValues(t *testing.T) {
	for _, tt := range []struct{ got, want float64 }{
		{SystemBarC.PressureValue(41e5), 41},
		{SystemPSIF.TemperatureValue((125 + 459.67) * 5 / 9), 125},
		{SystemPSIF.DifferenceValue(5), 9},
		{SystemKPaC.RampValue(5e4), 3000},
	} {
		must.Be(t, math.Abs(tt.got-tt.want) <= 1e-9, "got %v, want %v", tt.got, tt.want)
	}
	must.Be(t, math.IsNaN(SystemBarC.PressureValue(math.NaN())), "an unknown value became a number")
}

// A column keeps its width whatever the value, so that nothing jumps.
func TestColumnsDoNotJump(t *testing.T) {
	for u := range systems {
		width := utf8.RuneCountInString(u.RampColumn(0))
		for _, x := range []float64{math.NaN(), math.Inf(1), 1, -1, 41e5, -3e5, 999e5, 1e12, -1e12, 327.15} {
			got := u.RampColumn(x)
			must.Be(t, utf8.RuneCountInString(got) == width, "%v: %q is not %d wide", u, got, width)
		}
	}
	for x, want := range map[float64]string{1e12: "  over bar/min", -1e12: " under bar/min", 999.9e5 / 60: " 999.9 bar/min"} {
		must.Equal(t, SystemBarC.RampColumn(x), want, "%g prints", x)
	}
}

// At a prompt a bare number is in the shown unit; another unit is respected.
func TestSystemParse(t *testing.T) {
	for _, tt := range []struct {
		u    System
		text string
		want Temperature
	}{
		{SystemBarC, "52", 325.15}, {SystemPSIF, "125.6", 325.15}, {SystemPSIF, "52 C", 325.15}, {SystemBarC, " 125.6 F", 325.15},
	} {
		got, err := tt.u.ParseTemperature(tt.text)
		must.Be(t, err == nil && math.Abs(float64(got-tt.want)) <= 1e-9, "%v %q: %v, %v", tt.u, tt.text, got, err)
	}
	p, err := SystemPSIF.ParsePressure("600")
	must.Be(t, err == nil && math.Abs(float64(p)/psiPa-600) <= 1e-9, "600 at a psi prompt: %v, %v", p, err)
	_, err = SystemBarC.ParseTemperature("warm")
	must.Be(t, err != nil, "a word was taken for a temperature")
	for text, want := range map[string]System{"bar": SystemBarC, " PSI ": SystemPSIF, "kPa": SystemKPaC} {
		got, err := ParseSystem(text)
		must.Be(t, err == nil && got == want, "%q: %v, %v", text, got, err)
	}
	must.Refuse(t, must.Err(ParseSystem("torr")), "kPa")
}

// Clock counts like a stop-watch.
func TestClock(t *testing.T) {
	for _, tt := range []struct {
		s    float64
		want string
	}{
		{0, "0:00"}, {59.9, "0:59"}, {75, "1:15"}, {3599, "59:59"}, {3725, "1:02:05"}, {math.NaN(), "--"}, {math.Inf(1), "--"}, {-1, "--"},
	} {
		must.Equal(t, Clock(tt.s), tt.want, "%v", tt.s)
	}
}

// A number is shown as fine as its band is: of a small vessel a loss of 0.01 ± 0.01
// is no 0.0 ± 0.0.
func TestDecimals(t *testing.T) {
	for band, want := range map[float64]int{12: 1, 0.1: 1, 0.09: 2, 0.01: 2, 0.009: 3, 1e-6: 3, 0: 1, math.Inf(1): 1} {
		got := Decimals(band)
		must.Be(t, got == want, "a band of %g: %d decimals, want %d", band, got, want)
	}
	must.Be(t, Decimals(math.NaN()) == 1, "a band that is not known has no digits")
}
