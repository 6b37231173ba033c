// Package vessel describes a pressure vessel: geometry, gas, wall, resin,
// limits, target, stations and the logger channels that watch it.
package vessel

import (
	"fillwright/internal/gas"
	"fillwright/internal/quantity"
)

// Limits on the tables of a profile. Every loop over them is bounded.
const (
	StationsMost = 4
	ChannelsMost = 16
)

// UnderPressurePa is the gauge pressure above which a vessel counts as under
// pressure: a door of half a square metre is pushed with more than two tonnes.
const UnderPressurePa = 0.5e5

// Profile is everything that is known of a vessel before a fill. All
// quantities are SI; pressures are gauge.
type Profile struct {
	Name            string
	Template        bool // the file says that its numbers are not yet this vessel's
	Gas             gas.Species
	InnerDiameter   quantity.Length
	Length          quantity.Length
	Volume          quantity.Volume // as measured with water
	Water           quantity.Volume // liquid water that takes room from the gas
	AmbientPressure quantity.Pressure
	Attitude        Attitude // how it stands while it is filled
	Wall            Wall
	Resin           Resin
	Limits          Limits
	Fill            Fill
	Stations        []Station // at least one
	Channels        []Channel
	Plies           []Ply // of the wall, from the inside out; none: not known
}

// Wall is the composite wall, the same at every station.
type Wall struct {
	Material         string // "" or the handbook row that the profile named
	Thickness        quantity.Length
	DensityKgM3      float64
	SpecificHeatJKgK float64
	ConductivityWMK  float64 // through the thickness
}

// Resin holds the glass transition of the matrix.
type Resin struct {
	Onset    quantity.Temperature
	Midpoint quantity.Temperature
}

// Limits is what the vessel and the operator allow.
type Limits struct {
	Pressure  quantity.Pressure
	Reserve   quantity.Difference
	GasCold   quantity.Temperature
	RampLeast quantity.Ramp
	RampMost  quantity.Ramp
	Reaction  quantity.Seconds

	// SidesStiffnessLeast is the least that the sunny side's axial stiffness
	// may be of the shaded side's while filling; only where Plies are known.
	SidesStiffnessLeast float64
}

// Fill is what the operator wants of this fill.
type Fill struct {
	Target quantity.Pressure
	Hold   quantity.Seconds
}

// Station is a place on the wall that somebody or something reads.
type Station struct {
	Name         string
	OffSunDeg    float64 // how far round the vessel from its sunniest line, 0 to 180; NaN: not known
	AreaFraction float64 // share of the surface that it stands for, where somebody wrote one; else NaN
	Absorptance  float64 // of the paint for sunlight, 0 to 1; NaN: not given
	End          End     // which end of the vessel it lies at
}

// OffSunKnown says whether the station's place around the vessel is known.
func (s *Station) OffSunKnown() bool { return s.OffSunDeg >= 0 }

// End is a place along the vessel, as seen from where the gas comes in.
type End string

// The places along. A vessel is filled from one end.
const (
	EndNone  End = ""      // anywhere between, or not said
	EndInlet End = "inlet" // near where the gas comes in
	EndFar   End = "far"   // the end away from it
)

// Attitude is how the vessel stands.
type Attitude string

// The attitudes.
const (
	AttitudeLying    Attitude = "lying"
	AttitudeStanding Attitude = "standing"
)

// Role says what a channel watches.
type Role string

// The roles of design: one pressure channel is required.
const (
	RolePressure     Role = "pressure"
	RoleGas          Role = "gas"
	RoleWall         Role = "wall"
	RoleColdJunction Role = "cold_junction"
	RoleAmbient      Role = "ambient"
	RoleSupply       Role = "supply"
)

// Kind says what sort of sensor hangs on a channel.
type Kind string

// The kinds: thermocouple letters after IEC 60584-1; "celsius" is a channel
// that already speaks degrees; "gauge" one that already speaks gauge pressure.
const (
	KindRatiometric Kind = "ratiometric"
	KindLoop        Kind = "loop"
	KindK           Kind = "K"
	KindT           Kind = "T"
	KindJ           Kind = "J"
	KindN           Kind = "N"
	KindE           Kind = "E"
	KindCelsius     Kind = "celsius"
	KindGauge       Kind = "gauge"
)

// Channel binds a logger channel to its sensor.
type Channel struct {
	Index     int
	Role      Role
	Kind      Kind
	Station   string            // of a wall sensor
	Zero      quantity.Voltage  // ratiometric: output at zero pressure (default 0.5 V)
	Span      quantity.Voltage  // ratiometric: output at full scale (default 4.5 V)
	Supply    quantity.Voltage  // ratiometric: sensor and ADC supply (default 5 V)
	FullScale quantity.Pressure // pressure sensors

	// Compensated says that the logger has already added the cold junction
	// to a thermocouple's emf.
	Compensated bool

	End End // of a gas probe: which end of the vessel its bead sits at
}
