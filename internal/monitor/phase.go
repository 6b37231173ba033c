package monitor

import (
	"math"

	"fillwright/internal/estimate"
	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// decidePhase asks what the vessel is doing now.
func (m *Monitor) decidePhase() {
	ramp := m.est.Ramp()
	m.setPhase(m.phase.Next(m.snap.Phase, phase.Facts{
		TimeS: m.snap.TimeS, PressurePa: ramp.EndPa, RampPaS: ramp.PaS, RampSigma: ramp.Sigma, RampWindowS: estimate.RampS,
		FlowPaS: m.est.FlowPaS(), GasWarm: m.snap.gasWarm(),
	}))
}

// gasWarm tells whether the gas is warmer than the wall.
func (s *Snapshot) gasWarm() bool {
	var wallK float64
	for i := range s.Stations {
		wallK += s.Stations[i].InnerK
	}
	return s.GasK > wallK/float64(len(s.Stations))
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
	m.ahead.atS = math.Inf(-1) // look ahead at once
	m.beginLeak()
	m.events.add(m.snap.TimeS, EventPhase, wording.PhaseAt(next.String(), m.est.Block().PressurePa))
}
