package monitor

import (
	"math"

	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// flowWatch fits the gas inventory over the last seconds: what flows in or
// out, apart from what heats and cools.
type flowWatch struct{ s slope }

const flowS = 4.0

func (f *flowWatch) add(t, massKg float64) { f.s.add(t, massKg) }

// rateKgS is the rate of the inventory.
func (f *flowWatch) rateKgS() float64 { return f.s.line(flowS).paS }

// flowPaS is what flows, as a pressure rate at the present temperature. With
// no thermometer yet the pressure has to do.
func (m *Monitor) flowPaS() float64 {
	if !m.filter.Started() {
		return m.ramp.paS
	}
	return m.flow.rateKgS() / m.filter.Flow().MassKg * m.filter.Flow().PressurePa
}

// decidePhase asks what the vessel is doing now.
func (m *Monitor) decidePhase() {
	m.setPhase(m.phase.Next(m.snap.Phase, phase.Facts{
		TimeS: m.snap.TimeS, PressurePa: m.ramp.endPa, RampPaS: m.ramp.paS, RampSigma: m.ramp.sigma, RampWindowS: rampS,
		FlowPaS: m.flowPaS(), GasWarm: m.gasWarm(),
	}))
}

// gasWarm tells whether the gas is warmer than the wall.
func (m *Monitor) gasWarm() bool {
	var wallK float64
	for i := range m.snap.Stations {
		wallK += m.snap.Stations[i].InnerK
	}
	return m.snap.GasK > wallK/float64(len(m.snap.Stations))
}

func (m *Monitor) setPhase(next phase.Phase) {
	if next == m.snap.Phase {
		return
	}
	was := m.snap.Phase
	if was == phase.Filling {
		m.phase.FilledS, m.phase.SettledPa = m.snap.TimeS, m.cooledPa()
	}
	switch next {
	case phase.Filling:
		m.fillBegins(was)
	case phase.Venting:
		m.ventBegins(was)
	}
	m.snap.Phase, m.snap.PhaseSince = next, m.snap.TimeS
	m.advised = math.Inf(-1) // look ahead at once
	m.beginLeak()
	m.events.add(m.snap.TimeS, EventPhase, wording.PhaseAt(next.String(), m.block.out.pressurePa))
}
