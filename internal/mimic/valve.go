package mimic

import (
	"math"
	"math/rand/v2"
)

// Action is what a valve is told to do.
type Action uint8

// The actions.
const (
	Shut Action = iota // supply and vent shut
	Fill               // supply opens so that pressure rises at the ramp
	Vent               // vent opens so that pressure falls at the ramp
	Open               // vent fully open, no supply
)

var actionNames = [...]string{"shut", "fill", "vent", "open"}

// String is the name in the truth file.
func (a Action) String() string { return actionNames[a] }

// Valve is a command: an action with its ramp (Pa/s, positive), or with how far
// a hand has opened the valve, whatever ramp comes of it.
type Valve struct {
	Action  Action
	RampPaS float64
	Opening float64 // share of the full bore; 0: the ramp is held
}

// regulator turns a commanded ramp into a flow, as a hand on a needle valve
// would: it follows a moving set pressure, unsteadily and with a lag.
type regulator struct {
	r        *rand.Rand
	unsteady float64
	last     Action
	setPa    float64 // moving set pressure
	flowKgS  float64
	swing    float64
}

// The regulator's own times (common practice, no source).
const (
	regulatorLagS   = 0.3
	regulatorGainS  = 1.5
	swingMemoryS    = 4
	regulatorLeadPa = 0.6e5 // how far the set pressure may run ahead of the vessel
)

func newRegulator(t *Truth, seed uint64) *regulator {
	return &regulator{r: stream(seed, streamValve), unsteady: t.RampUnsteady}
}

// sway lets the hand's unsteadiness drift; dt is the time since the last call.
func (r *regulator) sway(dt float64) {
	keep := math.Exp(-dt / swingMemoryS)
	r.swing = r.swing*keep + r.unsteady*math.Sqrt(1-keep*keep)*clipped(r.r)
}

// flow is the mass flow for the command, kg/s, inward or outward by action.
// perPa is the mass that moves the pressure by 1 Pa, mostKgS what the orifice
// passes.
func (r *regulator) flow(c Valve, pressurePa, perPa, mostKgS, dt float64) float64 {
	if c.Action != r.last {
		r.last, r.setPa, r.flowKgS = c.Action, pressurePa, 0
	}
	if c.Action == Open {
		return mostKgS
	}
	want := 0.0
	if c.Opening > 0 {
		want = c.Opening * mostKgS
	} else if c.Action == Fill || c.Action == Vent {
		sign := 1.0
		if c.Action == Vent {
			sign = -1
		}
		ramp := c.RampPaS * (1 + r.swing)
		r.setPa += sign * ramp * dt
		r.setPa = min(max(r.setPa, pressurePa-regulatorLeadPa), pressurePa+regulatorLeadPa)
		want = perPa * (ramp + sign*(r.setPa-pressurePa)/regulatorGainS)
	}
	r.flowKgS += (max(want, 0) - r.flowKgS) * dt / regulatorLagS
	r.flowKgS = min(max(r.flowKgS, 0), mostKgS)
	return r.flowKgS
}

// gamma of diatomic gases; the real gas's deviation enters through density.
const gamma = 1.4

// orificeKgS is the mass flow through an effective area (discharge
// coefficient times area, m²) from stagnation state (upPa absolute, upRho) to
// downPa: isentropic nozzle flow, choked below the critical pressure ratio
// (perfect-gas relations, NACA Report 1135).
func orificeKgS(areaM2, upPa, upRho, downPa float64) float64 {
	if areaM2 <= 0 || upPa <= downPa {
		return 0
	}
	critical := math.Pow(2/(gamma+1), gamma/(gamma-1))
	ratio := max(downPa/upPa, critical)
	// ṁ = A √(p₀ρ₀) √(2γ/(γ−1) (r^{2/γ} − r^{(γ+1)/γ}))
	term := math.Pow(ratio, 2/gamma) - math.Pow(ratio, (gamma+1)/gamma)
	return areaM2 * math.Sqrt(upPa*upRho) * math.Sqrt(2*gamma/(gamma-1)*max(term, 0))
}
