package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Unknown stands where a value is not known. It is never a number.
const Unknown = "--"

// System is a set of units for screens and reports. The zero value is bar and °C.
type System uint8

// The systems.
const (
	SystemBarC System = iota // bar, °C
	SystemPSIF               // psi, °F
	SystemKPaC               // kPa, °C
	systems
)

// scale says how one sort of value is printed: SI × factor, then − shift.
type scale struct {
	unit     string
	toSI     float64 // one unit in SI
	shift    float64 // taken off after the division
	decimals int
	width    int // of the number in a column, in cells
}

// The widths leave room for 999 bar and its like, with a sign.
var (
	pressureScales = [systems]scale{
		{"bar", barPa, 0, 1, 6}, {"psi", psiPa, 0, 0, 6}, {"kPa", 1e3, 0, 0, 7},
	}
	temperatureScales = [systems]scale{
		{"°C", 1, zeroC, 1, 6}, {"°F", fahrK, zeroF, 1, 6}, {"°C", 1, zeroC, 1, 6},
	}
	differenceScales = [systems]scale{
		{"°C", 1, 0, 1, 6}, {"°F", fahrK, 0, 1, 6}, {"°C", 1, 0, 1, 6},
	}
	rampScales = [systems]scale{
		{"bar/min", barPa / minuteS, 0, 1, 6}, {"psi/min", psiPa / minuteS, 0, 0, 6}, {"kPa/min", 1e3 / minuteS, 0, 0, 6},
	}
	massScale = scale{"g", 1e-3, 0, 1, 7}
)

func pick(list *[systems]scale, u System) scale {
	if u >= systems {
		u = SystemBarC
	}
	return list[u]
}

// String names the system's units: "bar, °C".
func (u System) String() string {
	return pick(&pressureScales, u).unit + ", " + pick(&temperatureScales, u).unit
}

// Next is the system that follows, in a circle.
func (u System) Next() System { return (u + 1) % systems }

// ParseSystem reads "bar", "psi" or "kPa".
func ParseSystem(s string) (System, error) {
	for u := range systems {
		if strings.EqualFold(strings.TrimSpace(s), pressureScales[u].unit) {
			return u, nil
		}
	}
	return SystemBarC, &ParseError{Text: s, Wrong: "is no unit system",
		Expected: "bar (with °C), psi (with °F) or kPa (with °C)", Example: "bar"}
}

// Pressure prints gauge pascal with unit: "41.0 bar"; "--" when not known.
func (u System) Pressure(pa float64) string { return pick(&pressureScales, u).text(pa) }

// Temperature prints kelvin with unit: "52.0 °C"; "--" when not known.
func (u System) Temperature(k float64) string { return pick(&temperatureScales, u).text(k) }

// Difference prints a difference in kelvin with unit: "5.0 °C"; "--" when not known.
func (u System) Difference(k float64) string { return pick(&differenceScales, u).text(k) }

// Ramp prints Pa/s with unit: "30.0 bar/min"; "--" when not known.
func (u System) Ramp(paS float64) string { return pick(&rampScales, u).text(paS) }

// Mass prints kilogram with unit: "118.2 g"; "--" when not known.
func (u System) Mass(kg float64) string { return massScale.text(kg) }

// PressureNumber is the number of Pressure without unit.
func (u System) PressureNumber(pa float64) string { return pick(&pressureScales, u).number(pa) }

// TemperatureNumber is the number of Temperature without unit.
func (u System) TemperatureNumber(k float64) string { return pick(&temperatureScales, u).number(k) }

// DifferenceNumber is the number of Difference without unit.
func (u System) DifferenceNumber(k float64) string { return pick(&differenceScales, u).number(k) }

// RampNumber is the number of Ramp without unit.
func (u System) RampNumber(paS float64) string { return pick(&rampScales, u).number(paS) }

// RampColumn is Ramp in a fixed width, so that nothing jumps when the value
// grows or is lost. The width differs between systems only.
func (u System) RampColumn(paS float64) string { return pick(&rampScales, u).column(paS) }

// PressureUnit is the unit of pressures: "bar".
func (u System) PressureUnit() string { return pick(&pressureScales, u).unit }

// TemperatureUnit is the unit of temperatures: "°C".
func (u System) TemperatureUnit() string { return pick(&temperatureScales, u).unit }

// RampUnit is the unit of ramps: "bar/min".
func (u System) RampUnit() string { return pick(&rampScales, u).unit }

// PressureValue turns gauge pascal into the number that is shown, for charts.
func (u System) PressureValue(pa float64) float64 { return pick(&pressureScales, u).value(pa) }

// TemperatureValue turns kelvin into the number that is shown, for charts.
func (u System) TemperatureValue(k float64) float64 { return pick(&temperatureScales, u).value(k) }

// DifferenceValue turns a difference in kelvin into the number that is shown.
func (u System) DifferenceValue(k float64) float64 { return pick(&differenceScales, u).value(k) }

// RampValue turns Pa/s into the number that is shown.
func (u System) RampValue(paS float64) float64 { return pick(&rampScales, u).value(paS) }

// ParseTemperature reads what an operator types at a prompt: a bare number
// is in the system's unit, any other unit is read as written.
func (u System) ParseTemperature(s string) (Temperature, error) {
	return ParseTemperature(withUnit(s, u.TemperatureUnit()))
}

// ParsePressure reads what an operator types at a prompt, like ParseTemperature.
func (u System) ParsePressure(s string) (Pressure, error) {
	return ParsePressure(withUnit(s, u.PressureUnit()))
}

// ParseDifference reads what an operator types at a prompt, like ParseTemperature.
func (u System) ParseDifference(s string) (Difference, error) {
	return ParseDifference(withUnit(s, u.TemperatureUnit()))
}

func withUnit(s, unit string) string {
	if _, name, wrong := split(s); wrong == "" && name == "" {
		return s + " " + unit
	}
	return s
}

// value is NaN for a value that is not known.
func (s scale) value(si float64) float64 { return si/s.toSI - s.shift }

// number prints without unit; a rounded zero has no sign.
func (s scale) number(si float64) string {
	x := s.value(si)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Unknown
	}
	t := strconv.FormatFloat(x, 'f', s.decimals, 64)
	if t[0] == '-' && strings.Trim(t, "-0.") == "" {
		t = t[1:]
	}
	return t
}

func (s scale) text(si float64) string {
	n := s.number(si)
	if n == Unknown {
		return n
	}
	return n + " " + s.unit
}

// column is right-aligned, with the unit also where the value is not known.
// A number that does not fit says so rather than push its neighbours aside.
func (s scale) column(si float64) string {
	n := s.number(si)
	if len(n) > s.width {
		n = "over"
		if si < 0 {
			n = "under"
		}
	}
	return strings.Repeat(" ", s.width-len(n)) + n + " " + s.unit
}

// Clock prints seconds as minutes and seconds, "1:15" or "1:02:05" from an
// hour on, rounded down; "--" when not known, infinite or negative.
func Clock(s float64) string {
	if math.IsNaN(s) || s < 0 || s > 1e9 {
		return Unknown
	}
	t := int64(s)
	minutes := strconv.FormatInt(t/60%60, 10)
	if t >= 3600 {
		return strconv.FormatInt(t/3600, 10) + ":" + two(minutes) + ":" + two(strconv.FormatInt(t%60, 10))
	}
	return minutes + ":" + two(strconv.FormatInt(t%60, 10))
}

func two(s string) string {
	if len(s) < 2 {
		return "0" + s
	}
	return s
}
