package monitor

import (
	"math"

	"fillwright/internal/wording"
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
	noiseSigma   = 4.5   // a ramp within this many sigma of its noise is none: one in 300 000
)

// flowPaS is what flows, as a pressure rate at the present temperature. With
// no thermometer yet the pressure has to do.
func (m *Monitor) flowPaS() float64 {
	if !m.filter.Started() {
		return m.ramp.paS
	}
	return m.flow.rateKgS() / m.filter.Flow().MassKg * m.filter.Flow().PressurePa
}

// decidePhase tells filling, holding, venting and vented apart. A phase begins
// when the ramp is clear of its noise, and goes on without that.
func (m *Monitor) decidePhase() {
	p, ramp, flow := m.ramp.endPa, m.ramp.paS, m.flowPaS()
	was := m.snap.Phase
	if math.IsNaN(ramp) || math.IsNaN(flow) {
		// After a gap gas is taken to flow on, unless there is none.
		if was != PhaseFilling && was != PhaseVenting || p < ventedPa {
			m.setPhase(standing(p, was))
		}
		return
	}
	noise := noiseSigma * m.ramp.sigma
	fillRamp, fill, ventRamp, vent := ramp-noise, fillOnPaS, ramp+noise, ventOnPaS
	next := standing(p, was)
	switch {
	case was == PhaseFilling:
		fillRamp, fill = ramp, fillOffPaS
	case was == PhaseVenting:
		ventRamp, vent = ramp, ventOffPaS
	case was == PhaseVented && next == PhaseHolding:
		fillRamp = ramp // no noise brings a vented vessel there
	}
	switch {
	case fillRamp > fill && flow > math.Max(fill, 0.3*ramp):
		next = PhaseFilling
	case m.settling() && p > m.settledPa:
		// Fast gas that was shut in cools so fast that it looks like a vent.
	case next == PhaseHolding && ventRamp < -vent && flow < -math.Max(vent, 0.5*math.Abs(ramp)):
		next = PhaseVenting
		m.emptied = ventEnd{p, m.snap.TimeS}
	case next == PhaseHolding && was == PhaseVenting && !m.gasWarm() && !m.emptied.over(m.snap.TimeS, p, ramp, noise):
		next = PhaseVenting
	}
	m.setPhase(next)
}

// ventEnd finds the end of a vent: a vent ends when the gas has gone, not when
// it gets slow, so that only a pressure that rises (cold gas that was shut in
// warms up) or stands is one that is over.
type ventEnd struct {
	lowPa, lowS float64 // the lowest so far, and since when
}

const (
	ventStandsS = 20.0   // a pressure that has not fallen for so long stands
	ventFallsPa = 0.02e5 // less is no fall; a vent's last tenth of a bar falls faster
)

// over takes a pressure and tells whether the vent has ended.
func (e *ventEnd) over(t, pPa, rampPaS, noisePaS float64) bool {
	if pPa < e.lowPa-math.Max(ventFallsPa, noisePaS*rampS) {
		*e = ventEnd{pPa, t}
	}
	return rampPaS > noisePaS || t-e.lowS >= ventStandsS
}

// settling tells whether gas that came in is still being stirred, and so cools
// faster than the estimate follows.
func (m *Monitor) settling() bool {
	return m.snap.TimeS-m.filledS < leakSettleS && (m.snap.Phase == PhaseHolding || m.snap.Phase == PhaseFilling)
}

// gasWarm tells whether the gas is warmer than the wall: then it cools, and a
// pressure that falls says nothing of gas that leaves. A vent makes it colder.
func (m *Monitor) gasWarm() bool {
	var wallK float64
	for i := range m.snap.Stations {
		wallK += m.snap.Stations[i].InnerK
	}
	return m.snap.GasK > wallK/float64(len(m.snap.Stations))
}

// standing is the phase when nothing flows.
func standing(pPa float64, was Phase) Phase {
	vented := ventedPa
	if was == PhaseVented {
		vented = ventedOverPa
	}
	if pPa < vented {
		return PhaseVented
	}
	return PhaseHolding
}

func (m *Monitor) setPhase(next Phase) {
	if next == m.snap.Phase {
		return
	}
	was := m.snap.Phase
	if was == PhaseFilling {
		m.filledS, m.settledPa = m.snap.TimeS, m.cooledPa()
	}
	switch next {
	case PhaseFilling:
		m.fillBegins(was)
	case PhaseVenting:
		m.ventBegins(was)
	}
	m.snap.Phase, m.snap.PhaseSince = next, m.snap.TimeS
	m.advised = math.Inf(-1) // look ahead at once
	m.leak.restart(m.snap.TimeS)
	m.found = unknownLeak()
	if m.call.looks {
		m.call.looks = false
		m.events.refuse(m.snap.TimeS, wording.DidNotStand)
	}
	m.events.add(m.snap.TimeS, EventPhase, wording.PhaseAt(next.String(), m.block.out.pressurePa))
}
