// Package gas gives the properties of dry air and nitrogen: from their
// published Helmholtz equations of state (Equation), from a smooth table of
// those equations for loops that must be fast (Table), and from the textbook
// perfect gas (Ideal).
//
// Pressures in this package are ABSOLUTE, in pascal, unlike the gauge
// pressures that people and files meet elsewhere in the program: add the
// ambient pressure before calling and take it off afterwards. Temperatures are
// in kelvin, densities in kg/m³, energies per kilogram.
//
// The range is 200 to 450 K and 0.01 kPa to 400 bar absolute. The functions are
// made for inner loops and give no error: beyond the range they are
// extrapolations. A NaN that goes in comes out again.
package gas

// Species names a gas that the package knows.
type Species uint8

// The gases.
const (
	Air Species = iota
	Nitrogen
)

// String is the name used in a vessel profile.
func (s Species) String() string {
	if s == Nitrogen {
		return "nitrogen"
	}
	return "air"
}
