package quantity

import (
	"math"
	"strconv"
	"strings"
)

// PSI makes a pressure from pound-force per square inch.
func PSI(x float64) Pressure { return Pressure(x * psiPa) }

// Celsius makes a temperature from degrees Celsius.
func Celsius(x float64) Temperature { return Temperature(x + zeroC) }

// BarPerMinute makes a ramp from bar/min.
func BarPerMinute(x float64) Ramp { return Ramp(x * (barPa / minuteS)) }

// Bar is the pressure in bar.
func (p Pressure) Bar() float64 { return float64(p) / barPa }

// C is the temperature in degrees Celsius.
func (t Temperature) C() float64 { return float64(t) - zeroC }

// BarMin is the ramp in bar/min.
func (r Ramp) BarMin() float64 { return float64(r) / (barPa / minuteS) }

// String prints bar.
func (p Pressure) String() string { return plain(p.Bar(), "bar") }

// String prints degrees Celsius.
func (t Temperature) String() string { return plain(t.C(), "°C") }

// String prints degrees Celsius.
func (d Difference) String() string { return plain(float64(d), "°C") }

// String prints millimetre.
func (l Length) String() string { return plain(float64(l)*1e3, "mm") }

// String prints litre.
func (v Volume) String() string { return plain(float64(v)/litreM3, "L") }

// String prints seconds below two minutes, else minutes.
func (s Seconds) String() string {
	if math.Abs(float64(s)) < 120 {
		return plain(float64(s), "s")
	}
	return plain(float64(s)/minuteS, "min")
}

// String prints bar/min.
func (r Ramp) String() string { return plain(r.BarMin(), "bar/min") }

// String prints volt.
func (v Voltage) String() string { return plain(float64(v), "V") }

// plain prints up to six decimals without trailing zeros, "--" for no number.
// What it prints, the Parse function of the type reads.
func plain(x float64, unit string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Unknown
	}
	s := strconv.FormatFloat(x, 'f', 6, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		s = "0"
	}
	return s + " " + unit
}
