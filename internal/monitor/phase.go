package monitor

import (
	"fmt"
	"math"
)

// flowWatch fits the gas inventory over the last seconds: what flows in or
// out, apart from what heats and cools.
type flowWatch struct{ s slope }

const flowS = 4.0

func (f *flowWatch) add(t, massKg float64) { f.s.add(t, massKg) }

// rateKgS is the rate of the inventory.
func (f *flowWatch) rateKgS() float64 { return f.s.line(flowS).paS }

// Thresholds of the phases, as pressure rates of the flow at the present
// temperature, Pa/s. A cooling gas loses pressure faster than most leaks, so
// the flow decides, not the pressure alone.
const (
	perMinute    = 1e5 / 60 // 1 bar/min in Pa/s
	fillOnPaS    = 0.8 * perMinute
	fillOffPaS   = 0.4 * perMinute
	ventOnPaS    = 3.0 * perMinute
	ventOffPaS   = 1.5 * perMinute
	ventedPa     = 0.3e5
	ventedOverPa = 0.6e5 // hysteresis of vented
	noiseSigma   = 3.0   // a ramp within this many sigma of its noise is none
)

// decidePhase tells filling, holding, venting and vented apart.
func (m *Monitor) decidePhase() {
	p, ramp, noise := m.block.out.pressurePa, m.ramp.paS, noiseSigma*m.ramp.sigma
	if math.IsNaN(ramp) {
		ramp, noise = 0, 0
	}
	flow := m.flow.rateKgS() / m.obs.Flow().MassKg * m.obs.Flow().PressurePa // Pa/s at present temperature
	if math.IsNaN(flow) {
		flow = 0
	}
	on, off := fillOnPaS, ventOnPaS
	if m.snap.Phase == PhaseFilling {
		on = fillOffPaS
	}
	if m.snap.Phase == PhaseVenting {
		off = ventOffPaS
	}
	vented := ventedPa
	if m.snap.Phase == PhaseVented {
		vented = ventedOverPa
	}
	next := PhaseHolding
	switch {
	case ramp-noise > on && flow > math.Max(on, 0.3*ramp):
		next = PhaseFilling
	case p < vented:
		next = PhaseVented
	case ramp+noise < -off && flow < -math.Max(off, 0.5*math.Abs(ramp)):
		next = PhaseVenting
	}
	m.setPhase(next)
}

func (m *Monitor) setPhase(next Phase) {
	if next == m.snap.Phase {
		return
	}
	m.snap.Phase, m.snap.PhaseSince = next, m.snap.TimeS
	m.advised = math.Inf(-1) // look ahead at once
	m.leak.restart(m.snap.TimeS)
	m.snap.Leak = unknownLeak()
	m.events.add(m.snap.TimeS, EventPhase, fmt.Sprintf("%s at %.1f bar", next, m.block.out.pressurePa/1e5))
}
