// Package probe turns a logger's raw values into temperatures and pressures
// and judges the health of each sensor.
package probe

import "fillwright/internal/vessel"

// Health says what is wrong with a sensor, if anything.
type Health uint8

// Health states. Anything but HealthGood makes the value unusable.
const (
	HealthUnknown Health = iota // nothing read yet
	HealthGood
	HealthOpen           // circuit open
	HealthOutOfRange     // outside what the sensor can mean
	HealthStale          // no new value for too long
	HealthAtRail         // pressure sensor at its electrical rail
	HealthFrozen         // the same raw value for too long while others move
	HealthJump           // moved faster than physics allows
	HealthNoColdJunction // thermocouple without a usable cold junction
	HealthShort          // input shorted to ground or supply, says the logger
	HealthFault          // the logger reports a fault of its own here
	HealthUnbound        // the logger has no such channel, or one of another kind

	HealthShortGround // signal at ground
	HealthShortSupply // signal at the supply rail
	HealthReversed    // thermocouple leads swapped
	HealthShorted     // thermocouple leads touch: it reads the cold junction
	HealthNoisy       // doubt: scatters far more than before
	HealthDrift       // doubt: has parted from sensors that should agree
	HealthColdDoubt   // doubt: cold junction far from the air, or moving fast
	HealthContradicts // doubt: pressure and gas temperature contradict each other
)

// Reading is one sensor's present value. Value is K for temperatures and
// gauge Pa for pressures, with the offset taken off; it is NaN unless Health
// is HealthGood. LastGood and TimeS say what was last known, and when.
type Reading struct {
	Channel int // index on the logger
	Role    vessel.Role
	Kind    vessel.Kind
	Station string
	Raw     int32
	Value   float64
	TimeS   float64 // session time of the last good value, NaN: none yet
	Health  Health
	Offset  float64 // correction already taken off Value, K or Pa

	LastGood float64 // the last good Value, NaN: none yet

	// Doubt is what speaks against a value that is still given: HealthNoisy,
	// HealthDrift, HealthColdDoubt, HealthContradicts, and of a pressure also
	// HealthFrozen and HealthJump; HealthUnknown: nothing.
	Doubt Health
}
