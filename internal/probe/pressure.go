package probe

import (
	"math"

	"fillwright/internal/vessel"
)

// Limits of a current loop in ampere, NAMUR NE 43: measured values lie in
// 3.8 to 20.5 mA; below 3.6 or from 21 mA the transmitter signals a failure.
// (NE 43 from memory.) Between those it is saturated: the pressure is beyond
// what it says.
const (
	loopZeroA, loopSpanA        = 0.004, 0.020
	loopLeastA, loopMostA       = 0.0038, 0.0205
	loopFailLowA, loopFailHighA = 0.0036, 0.021
	groundShare                 = 0.004      // of the supply: nothing but a short or a break lies there
	railLow, railHigh           = 0.02, 0.98 // of the supply: 0.1 V and 4.9 V of 5 V
	vacuumSlackOfFullScale      = 0.02       // zero error that a cheap sensor may have
	gaugeMostOfLimit            = 4          // no vessel reads beyond four times its limit
)

// ratiometricPa turns ADC counts into gauge pascal. The sensor and the
// converter share the supply, so the supply's true value drops out:
// V = counts / scale × supply, p = (V − zero) / (span − zero) × full scale.
func ratiometricPa(c *vessel.Channel, counts int32, scale float64) (pa float64, h Health) {
	v := float64(counts) / scale * float64(c.Supply)
	pa = (v - float64(c.Zero)) / float64(c.Span-c.Zero) * float64(c.FullScale)
	switch share := v / float64(c.Supply); {
	case share < groundShare:
		return pa, HealthShortGround
	case share > 1-groundShare:
		return pa, HealthShortSupply
	case share < railLow || share > railHigh:
		return pa, HealthAtRail
	}
	return pa, HealthGood
}

// loopPa turns a loop current in µA into gauge pascal: 4 mA is zero, 20 mA
// is full scale.
func loopPa(c *vessel.Channel, microA int32) (pa float64, h Health) {
	a := float64(microA) * 1e-6
	pa = (a - loopZeroA) / (loopSpanA - loopZeroA) * float64(c.FullScale)
	switch {
	case a < loopFailLowA || a >= loopFailHighA:
		return pa, HealthAtRail
	case a < loopLeastA || a > loopMostA:
		return pa, HealthOutOfRange
	}
	return pa, HealthGood
}

// plausible gives the least and the greatest value in SI that a channel can
// mean on this job. Beyond that the sensor is ill or of another kind.
//
// Gas: the bead of a fast fill stays well below 250 °C (an adiabatic fill of
// an evacuated vessel from 20 °C ends at 137 °C, T = k·T_in), and no vent of
// these vessels takes a bead below −100 °C. Wall and ambient: no composite
// wall survives 250 °C, and −60 °C is colder than any pad. A gas colder or
// hotter than its limits but inside of this is believed, and alarmed on.
// Cold junction: −40 to 85 °C, the usual range of electronics (common
// practice, no source). Pressure: not below a vacuum, with room for a zero
// error.
func plausible(p *vessel.Profile, c *vessel.Channel) (least, most float64) {
	switch c.Role {
	case vessel.RoleGas:
		return zeroCK - 100, zeroCK + 250
	case vessel.RoleWall:
		return zeroCK - 60, zeroCK + 250
	case vessel.RoleAmbient:
		return zeroCK - 60, zeroCK + 80
	case vessel.RoleSupply:
		if !c.Kind.Pressure() {
			return zeroCK - 120, zeroCK + 150
		}
	case vessel.RoleColdJunction:
		return zeroCK - 40, zeroCK + 85
	}
	full := float64(c.FullScale)
	if full == 0 {
		full = float64(p.Limits.Pressure)
	}
	least = -float64(p.AmbientPressure) - vacuumSlackOfFullScale*full
	if c.Kind == vessel.KindGauge && c.Role == vessel.RolePressure {
		return least, gaugeMostOfLimit * full
	}
	return least, math.Inf(1)
}
