package calibrate

import (
	"fmt"
	"strings"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// Method is how sensors are held against something known.
type Method uint8

// The methods. The first four are for temperatures, the last two for pressure.
const (
	MethodShade Method = iota // all probes together in still shade, beside one thermometer
	MethodIce                 // in melting ice
	MethodSteam               // in the steam of boiling water
	MethodBath                // in a stirred bath of known temperature
	MethodZero                // the vessel vented: zero of the pressure sensor
	MethodSpan                // against a reference gauge: a check, no correction
	methods
)

// methodRows has a row a method. What is typed of its reference is asked for
// with asks and an example; both are empty where nothing is.
var methodRows = [methods]struct{ word, name, needs, asks, example string }{
	{"shade", "common still shade", "Hang all probes together in still air in the shade, beside the thermometer.",
		"reference thermometer reads", "21.3 °C"},
	{"ice", "ice point", "Crushed ice with little water, stirred; the probes deep in it, not on its bottom.", "", ""},
	{"steam", "steam point", "Hold the probes in the steam, clear of the water and of the wall of the pot.",
		"air pressure, not reduced to sea level, or altitude", "1002 hPa or 250 m"},
	{"bath", "stirred bath", "Stir well; the probes close to the reference thermometer, at one depth.",
		"bath thermometer reads", "40.0 °C"},
	{"zero", "pressure zero", "Supply shut, vent open, and a second gauge at zero.", "", ""},
	{"span", "span check", "Hold a steady pressure and read the reference gauge.", "reference gauge reads", "40 bar"},
}

// String is the word that chooses the method: "ice".
func (m Method) String() string { return methodRows[m%methods].word }

// Name is what the offsets file says: "ice point".
func (m Method) Name() string { return methodRows[m%methods].name }

// Needs says what to prepare, in a sentence or two.
func (m Method) Needs() string { return methodRows[m%methods].needs }

// Asks says what is to be typed of the reference; empty when nothing is.
func (m Method) Asks() (prompt, example string) {
	return methodRows[m%methods].asks, methodRows[m%methods].example
}

// Next is the method after this one, and the first after the last.
func (m Method) Next() Method { return (m + 1) % methods }

// Pressure says whether the method is for the pressure sensor.
func (m Method) Pressure() bool { return m == MethodZero || m == MethodSpan }

// ParseMethod finds a method by its word.
func ParseMethod(word string) (Method, error) {
	for m := range methods {
		if methodRows[m].word == word {
			return m, nil
		}
	}
	return 0, fmt.Errorf("there is no method %q; the methods are %s", word, MethodList())
}

// MethodList names the methods: "shade, ice, …".
func MethodList() string {
	words := make([]string, methods)
	for m := range methods {
		words[m] = m.String()
	}
	return strings.Join(words, ", ")
}

// takes says whether a method is for a sensor. The cold junction sits in the
// logger and can't be put into a bath.
func (m Method) takes(r *probe.Reading) bool {
	if m.Pressure() {
		return r.Role == vessel.RolePressure
	}
	return !r.Kind.Pressure() && r.Role != vessel.RoleColdJunction
}
