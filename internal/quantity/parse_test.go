package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// reader is one Parse function with its type taken off.
type reader func(string) (float64, error)

func plainly[T ~float64](parse func(string) (T, error)) reader {
	return func(s string) (float64, error) {
		v, err := parse(s)
		return float64(v), err
	}
}

var readers = map[string]reader{
	"pressure":    plainly(ParsePressure),
	"temperature": plainly(ParseTemperature),
	"difference":  plainly(ParseDifference),
	"length":      plainly(ParseLength),
	"volume":      plainly(ParseVolume),
	"seconds":     plainly(ParseSeconds),
	"ramp":        plainly(ParseRamp),
	"voltage":     plainly(ParseVoltage),
}

// Conversions against NIST SP 811 (2008), appendix B.8, factors from memory:
// psi 6.894757E+03 Pa, °F to K (t + 459.67)/1.8, inch 2.54E-02 m exactly,
// cubic inch 1.638706E-05 m³, foot 3.048E-01 m exactly, pound 4.535924E-01 kg,
// litre 1.0E-03 m³ exactly, bar 1.0E+05 Pa exactly. tol is half a unit of the
// last printed digit where the factor is rounded.
func TestParseAgainstSP811(t *testing.T) {
	tests := []struct {
		kind, text string
		want, tol  float64
	}{
		{"pressure", "41 bar", 41e5, 1e-12},
		{"pressure", "1 psi", 6894.757, 1e-7},
		{"pressure", "600 psi", 600 * 6894.757, 1e-7},
		{"pressure", "600 psig", 600 * 6894.757, 1e-7},
		{"pressure", "4.1 MPa", 4.1e6, 1e-12},
		{"pressure", "101.325 kPa", 101325, 1e-12},
		{"pressure", "1013.25 hPa", 101325, 1e-12},
		{"pressure", "1013.25mbar", 101325, 1e-12},
		{"pressure", "-0.03 BAR", -3000, 1e-12},
		{"pressure", "4.1e1 bar", 41e5, 1e-12},
		{"pressure", "4,1 bar", 4.1e5, 1e-12},
		{"pressure", "600psi", 600 * 6894.757, 1e-7},
		{"pressure", "-0,125 bar", -12500, 1e-12},
		{"pressure", "1013,25 hPa", 101325, 1e-12},
		{"pressure", ",5 bar", 5e4, 1e-12},
		{"temperature", "21,4 °C", 294.55, 1e-12},
		{"temperature", "70F", (70 + 459.67) / 1.8, 1e-12},
		{"temperature", "52 °C", 325.15, 1e-12},
		{"temperature", "52C", 325.15, 1e-12},
		{"temperature", "52 deg C", 325.15, 1e-12},
		{"temperature", "125 °F", (125 + 459.67) / 1.8, 1e-12},
		{"temperature", "32 F", 273.15, 1e-12},
		{"temperature", "212 F", 373.15, 1e-12},
		{"temperature", "325.15 K", 325.15, 0},
		{"temperature", "\u2212273.15\u00a0°C", 0, 0},
		{"temperature", "-459.67 °F", 0, 0},
		{"temperature", "-40 C", 233.15, 1e-12},
		{"difference", "5 °C", 5, 0},
		{"difference", "9 °F", 5, 1e-12},
		{"difference", "-1.2 °C", -1.2, 0},
		{"difference", "2 K", 2, 0},
		{"length", "90 mm", 0.09, 1e-12},
		{"length", "9 cm", 0.09, 1e-12},
		{"length", "1.6 m", 1.6, 0},
		{"length", "3.5 in", 0.0889, 1e-12},
		{"length", "1 ft", 0.3048, 1e-12},
		{"volume", "10.2 L", 0.0102, 1e-12},
		{"volume", "10200 cm3", 0.0102, 1e-12},
		{"volume", "10200 mL", 0.0102, 1e-12},
		{"volume", ".0102 m³", 0.0102, 1e-12},
		{"volume", "1 in3", 1.638706e-5, 5e-7},
		{"seconds", "5 s", 5, 0},
		{"seconds", "15 min", 900, 0},
		{"seconds", "1 h", 3600, 0},
		{"seconds", "250 ms", 0.25, 1e-12},
		{"ramp", "2 bar/min", 2e5 / 60, 1e-12},
		{"ramp", "30 psi/min", 30 * 6894.757 / 60, 1e-7},
		{"ramp", "0.5 bar/s", 5e4, 1e-12},
		{"voltage", "0.5 V", 0.5, 0},
		{"voltage", "500 mV", 0.5, 1e-12},
	}
	for _, tt := range tests {
		got, err := readers[tt.kind](tt.text)
		must.Be(t, err == nil && math.Abs(got-tt.want) <= tt.tol*math.Abs(tt.want), "%s %q: got %v, %v; want %v", tt.kind, tt.text, got, err, tt.want)
	}
}

// What can't be read is refused with words that help and an example that
// the same function reads.
func TestParseRefuses(t *testing.T) {
	tests := []struct{ kind, text, wrong string }{
		{"pressure", "41", "no unit"},
		{"pressure", "", "is empty"},
		{"pressure", "bar", "does not start with a number"},
		{"pressure", "10,200 kPa", "write 10.200 or 10200"},
		{"pressure", "1,000 psi", "decimals or for thousands"},
		{"pressure", "1.000,5 psi", "no decimal comma"},
		{"pressure", "1,000.5 psi", "more than one comma"},
		{"pressure", "1,2,3 bar", "more than one comma"},
		{"pressure", ", bar", "no decimal comma"},
		{"temperature", "twenty,4", "no decimal comma"},
		{"pressure", "NaN bar", "does not start with a number"},
		{"pressure", "Inf bar", "does not start with a number"},
		{"pressure", "-Inf bar", "does not start with a number"},
		{"pressure", "1e999 bar", "out of range"},
		{"pressure", "1e308 bar", "too large"},
		{"pressure", "41 bar/min", "unknown unit"},
		{"pressure", "41 °C", "unknown unit"},
		{"pressure", "42 bara", "absolute"},
		{"pressure", "600 psia", "absolute"},
		{"pressure", "4 mpa", "MPa?"},
		{"pressure", "40 atm", "gauge or absolute"},
		{"pressure", ". bar", "does not start with a number"},
		{"pressure", "+ bar", "does not start with a number"},
		{"pressure", "4e bar", "unknown unit"},
		{"pressure", strings.Repeat("4", 100) + " bar", "too long"},
		{"temperature", "-273.2 °C", "absolute zero"},
		{"temperature", "-1 K", "absolute zero"},
		{"temperature", "-460 F", "absolute zero"},
		{"temperature", "52 °", "unknown unit"},
		{"length", "-1 mm", "negative"},
		{"volume", "-1 L", "negative"},
		{"volume", "3 gal", "litres"},
		{"seconds", "-1 s", "negative"},
		{"seconds", "15 m", "write min"},
		{"ramp", "30 bar", "needs a time"},
		{"voltage", "0.5", "no unit"},
	}
	for _, tt := range tests {
		_, err := readers[tt.kind](tt.text)
		var bad *ParseError
		if !errors.As(err, &bad) {
			t.Errorf("%s %q: got %v, want a *ParseError", tt.kind, tt.text, err)
			continue
		}
		must.Be(t, strings.Contains(bad.Wrong, tt.wrong) && strings.Contains(err.Error(), bad.Example) && strings.Contains(bad.Expected, "unit ("),
			"%s %q: message %q", tt.kind, tt.text, err)
		_, err = readers[tt.kind](bad.Example)
		must.Be(t, err == nil, "the example of %s is refused: %v", tt.kind, err)
	}
}

// A bare number is read with a point or a comma, and nothing else is one.
func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{"2.5": 2.5, "2,5": 2.5, " 10 ": 10, "1e3": 1000, "\u22121": -1} {
		got, err := ParseNumber(text)
		must.Be(t, err == nil && got == want, "%q: got %v, %v", text, got, err)
	}
	for _, text := range []string{"", "2,5 bar", "1,000", "fast", "NaN", "Inf"} {
		got, err := ParseNumber(text)
		must.Be(t, err != nil && math.IsNaN(got), "%q: got %v and no error", text, got)
	}
}

// Whatever String prints, Parse reads back as the same value.
func TestStringRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := float64(rapid.IntRange(0, 1_000_000).Draw(t, "x")) / 1000
		texts := map[string]struct {
			text string
			si   float64
		}{
			"pressure":    {Pressure(x * barPa).String(), x * barPa},
			"temperature": {Celsius(x).String(), float64(Celsius(x))},
			"difference":  {Difference(x).String(), x},
			"length":      {Length(x / 1e3).String(), x / 1e3},
			"volume":      {Volume(x * litreM3).String(), x * litreM3},
			"ramp":        {BarPerMinute(x).String(), float64(BarPerMinute(x))},
			"voltage":     {Voltage(x).String(), x},
		}
		for kind, v := range texts {
			got, err := readers[kind](v.text)
			must.Need(t, err == nil && math.Abs(got-v.si) <= 1e-9*(1+math.Abs(v.si)),
				"%s %v printed as %q reads as %v, %v", kind, v.si, v.text, got, err)
		}
	})
}

// No text makes a Parse function panic or give a value that is no number.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"41 bar", "-1.2 °C", "1e5", "4,1 bar", "\u2212", "+.e", "\xff bar", "325.15 K", "0x10 bar", "1_000 bar"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for kind, read := range readers {
			v, err := read(s)
			must.Be(t, err != nil || !math.IsNaN(v) && !math.IsInf(v, 0), "%s %q gives %v", kind, s, v)
			must.Be(t, err == nil || err.Error() != "" && math.IsNaN(v), "%s %q gives %v and %v", kind, s, v, err)
		}
	})
}
