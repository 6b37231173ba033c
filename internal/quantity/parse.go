package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ParseError says why a text is not the quantity that was asked for.
type ParseError struct {
	Text     string // as given
	Wrong    string // what is wrong with it
	Expected string // what was expected, with the accepted units
	Example  string // a text that would do
}

// Error is one line for people.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%q %s; expected %s, for example %q", clip(e.Text), e.Wrong, e.Expected, e.Example)
}

// WrongNoUnit is the Wrong of a number that stands without its unit.
const WrongNoUnit = "has no unit"

const textMost = 64 // a longer text is no quantity

var unbounded = math.Inf(-1)

// ParsePressure reads a gauge pressure: "41 bar", "600 psi", "4.1 MPa".
func ParsePressure(s string) (Pressure, error) { return parse[Pressure](s, &pressureKind) }

// ParseTemperature reads a temperature: "52 °C", "125 F", "325.15 K".
// Nothing below absolute zero is accepted.
func ParseTemperature(s string) (Temperature, error) {
	return parse[Temperature](s, &temperatureKind)
}

// ParseDifference reads a temperature difference: "5 °C" and "9 °F" are both 5 K.
func ParseDifference(s string) (Difference, error) { return parse[Difference](s, &differenceKind) }

// ParseLength reads a length: "90 mm", "1.6 m", "3.5 in". Not negative.
func ParseLength(s string) (Length, error) { return parse[Length](s, &lengthKind) }

// ParseVolume reads a volume: "10.2 L", "10200 cm3". Not negative.
func ParseVolume(s string) (Volume, error) { return parse[Volume](s, &volumeKind) }

// ParseSeconds reads a duration: "5 s", "15 min", "1 h". Not negative.
func ParseSeconds(s string) (Seconds, error) { return parse[Seconds](s, &secondsKind) }

// ParseRamp reads a rate of pressure rise: "2 bar/min", "30 psi/min".
func ParseRamp(s string) (Ramp, error) { return parse[Ramp](s, &rampKind) }

// ParseVoltage reads a voltage: "0.5 V", "500 mV".
func ParseVoltage(s string) (Voltage, error) { return parse[Voltage](s, &voltageKind) }

func parse[T ~float64](s string, k *kind) (T, error) {
	v, err := k.parse(s)
	if err != nil {
		return T(math.NaN()), err
	}
	return T(v), nil
}

// parse reads "number unit" in SI.
func (k *kind) parse(s string) (float64, error) {
	number, name, wrong := split(s)
	if wrong != "" {
		return 0, k.wrong(s, wrong)
	}
	u, wrong := k.find(name)
	if wrong != "" {
		return 0, k.wrong(s, wrong)
	}
	v := (number + u.shift) * u.scale
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, k.wrong(s, "is too large")
	}
	if v < k.least {
		return 0, k.wrong(s, k.whyNot)
	}
	return v, nil
}

func (k *kind) wrong(s, wrong string) error {
	return &ParseError{Text: s, Wrong: wrong, Expected: k.expected(), Example: k.example}
}

// expected names the quantity and the units it may have.
func (k *kind) expected() string {
	names := make([]string, len(k.units))
	for i := range k.units {
		names[i] = k.units[i].name
	}
	return k.what + " with its unit (" + strings.Join(names, ", ") + ")"
}

// find looks a unit up; what is wrong comes back as words.
func (k *kind) find(name string) (unit, string) {
	if name == "" {
		return unit{}, WrongNoUnit
	}
	near := ""
	for _, u := range k.units {
		for _, n := range append([]string{u.name}, u.aliases...) {
			switch {
			case n == name, u.fold && strings.EqualFold(n, name):
				return u, ""
			case strings.EqualFold(n, name):
				near = u.name
			}
		}
	}
	if hint, ok := k.hint[strings.ToLower(name)]; ok {
		return unit{}, fmt.Sprintf("has the unit %q (%s)", name, hint)
	}
	if near != "" {
		return unit{}, fmt.Sprintf("has the unit %q (capital letters count: %s?)", name, near)
	}
	return unit{}, fmt.Sprintf("has the unknown unit %q", clip(name))
}

// split parts a text in number and unit name; wrong is empty when it could.
func split(s string) (number float64, name, wrong string) {
	if len(s) > textMost {
		return 0, "", "is too long for a quantity"
	}
	t := strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2212", "-").Replace(s)
	t = strings.TrimSpace(t)
	if t == "" {
		return 0, "", "is empty"
	}
	t, wrong = pointed(t)
	if wrong != "" {
		return 0, "", wrong
	}
	n := numberLen(t)
	if n == 0 {
		return 0, "", "does not start with a number"
	}
	number, err := strconv.ParseFloat(t[:n], 64)
	if err != nil {
		return 0, "", "has a number that is out of range"
	}
	return number, strings.Join(strings.Fields(t[n:]), " "), ""
}

// pointed writes a decimal comma as a point. A comma before exactly three
// digits may be decimals or thousands: 1,000 psi is refused rather than guessed,
// and 0,125 can only be the one.
func pointed(t string) (text, wrong string) {
	i := strings.IndexByte(t, ',')
	if i < 0 {
		return t, ""
	}
	sign := len(t[:i]) - len(strings.TrimLeft(t[:i], "+-"))
	whole, part := digits(t[sign:]), digits(t[i+1:])
	after := i + 1 + part
	switch {
	case sign > 1 || sign+whole != i || whole+part == 0:
		return t, "has a comma that is no decimal comma"
	case after < len(t) && (t[after] == ',' || t[after] == '.'):
		return t, "has more than one comma or point (write nothing between thousands)"
	case part == 3 && whole > 0 && whole <= 3 && strings.Trim(t[sign:i], "0") != "":
		return t, fmt.Sprintf("has a comma that may be for decimals or for thousands (write %s or %s)",
			strings.Replace(t[:after], ",", ".", 1), strings.Replace(t[:after], ",", "", 1))
	}
	return t[:i] + "." + t[i+1:], ""
}

// ParseNumber reads a bare decimal number, with a point or a comma.
func ParseNumber(s string) (float64, error) {
	number, name, wrong := split(s)
	if wrong == "" && name != "" {
		wrong = "has something behind the number"
	}
	if wrong != "" {
		return math.NaN(), &ParseError{Text: s, Wrong: wrong, Expected: "a plain number", Example: "2.5"}
	}
	return number, nil
}

// numberLen is the length of the decimal number that t starts with, 0 if none.
// An exponent counts only when digits follow, so that "5 e" is not one.
func numberLen(t string) int {
	i := 0
	if t[0] == '+' || t[0] == '-' {
		i++
	}
	whole := digits(t[i:])
	i += whole
	part := 0
	if i < len(t) && t[i] == '.' {
		part = digits(t[i+1:])
		i += 1 + part
	}
	if whole+part == 0 {
		return 0
	}
	if i < len(t) && (t[i] == 'e' || t[i] == 'E') {
		j := i + 1
		if j < len(t) && (t[j] == '+' || t[j] == '-') {
			j++
		}
		if n := digits(t[j:]); n > 0 {
			return j + n
		}
	}
	return i
}

func digits(t string) int {
	n := 0
	for n < len(t) && t[n] >= '0' && t[n] <= '9' {
		n++
	}
	return n
}

func clip(s string) string {
	if r := []rune(s); len(r) > textMost {
		return string(r[:textMost]) + "…"
	}
	return s
}
