// Package quantity holds typed physical quantities in SI units and reads and
// prints them with the units that an operator uses.
package quantity

// A type's comment gives its stored unit and sign. Pressures are gauge
// pressures wherever a person or a file meets them; the model adds the
// ambient pressure itself.
type (
	// Pressure is in pascal.
	Pressure float64
	// Temperature is in kelvin, absolute.
	Temperature float64
	// Difference is a temperature difference in kelvin.
	Difference float64
	// Length is in metre.
	Length float64
	// Volume is in cubic metre.
	Volume float64
	// Seconds is a duration in second.
	Seconds float64
	// Ramp is a rate of pressure rise in pascal per second.
	Ramp float64
	// Voltage is in volt.
	Voltage float64
)
