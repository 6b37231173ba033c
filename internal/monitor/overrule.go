package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/vessel"
)

// overrule lets old readings, lost sensors, what the vessel went through and
// an abort speak over the last advice.
func (m *Monitor) overrule() {
	s := &m.snap
	s.Advice = m.advice
	switch {
	case !m.clock.Started():
	case m.distrust() != "":
		s.Advice, _ = advise.Unknown(m.distrust() + ": shut the supply")
	case m.old():
		s.Advice, _ = advise.Unknown(fmt.Sprintf("readings are %.0f s old: shut the supply until they come", s.Link.AgeS))
	case !m.sensor(vessel.RolePressure):
		s.Advice, _ = advise.Unknown("no trustworthy pressure: shut the supply")
	case s.Phase != PhaseFilling && s.Phase != PhaseVenting && m.obs.Started() && !m.sensor(vessel.RoleGas):
		// A fill without it would be blind in three seconds.
		s.Advice, _ = advise.Unknown("no trustworthy gas temperature: keep the supply shut")
	}
	more := s.Advice.Verdict.AsksForGas() && s.Advice.Verdict != advise.VerdictReady // that is of another fill
	if why := m.noMoreGas(); why != "" && more {
		m.order(advise.VerdictHold, why)
	}
	if s.Advice.Verdict.AsksForGas() && m.unsettledHotter() {
		v := advise.VerdictHold
		if s.Phase <= PhaseVented {
			v = advise.VerdictNoStart
		}
		m.order(v, m.unsettledText())
	}
	if s.Advice.Verdict.AsksForGas() {
		if why := m.restsOnNothing(); why != "" {
			m.order(advise.VerdictHold, why)
		}
	}
	abort := m.abort()
	switch {
	case abort == nil:
	case m.wantsVent(abort.Name):
		m.order(advise.VerdictVent, abort.Cause) // with the supply shut nothing else helps
	default:
		m.order(advise.VerdictStop, abort.Cause)
	}
}

// order replaces the advice by one that lets no gas in.
func (m *Monitor) order(v advise.Verdict, why string) {
	a := &m.snap.Advice
	a.Verdict, a.Reason, a.RampPaS = v, why, 0
	a.TargetInS, a.WaitS = math.NaN(), math.NaN()
}

// noMoreGas is why this fill gets no more gas, whatever the wall allows now;
// empty if it may.
func (m *Monitor) noMoreGas() string {
	switch {
	case m.reached:
		return "the wall may have reached onset under pressure in this fill: no more gas; vent from a distance"
	case m.snap.Leak.Significant:
		return "gas is leaking: no more gas; keep away and vent from a distance"
	}
	return ""
}

// abort is the abort that stands, the one to vent before any other.
func (m *Monitor) abort() *alarm.Active {
	var out *alarm.Active
	for i := range m.snap.Alarms {
		a := &m.snap.Alarms[i]
		if a.Level != alarm.LevelAbort || a.State == alarm.StateReturned || a.State == alarm.StateLatched {
			continue
		}
		if out == nil || a.Name == alarm.VentAdvised || out.Name != alarm.VentAdvised && m.wantsVent(a.Name) {
			out = a
		}
	}
	return out
}

// wantsVent says whether an abort asks to vent: it says so itself, or the
// supply is shut already and it stands on.
func (m *Monitor) wantsVent(name string) bool {
	return name == alarm.VentAdvised ||
		m.snap.Phase != PhaseFilling && (name == alarm.WallOver || name == alarm.PressureOver)
}

// watchReached remembers for the fill under way that the wall may have reached
// the onset under pressure.
func (m *Monitor) watchReached() {
	for i := range m.snap.Alarms {
		a := &m.snap.Alarms[i]
		m.reached = m.reached || a.Name == alarm.WallOver && a.State == alarm.StateUnacknowledged
	}
	if !m.sum.underWay() && m.snap.Phase <= PhaseVented {
		m.reached = false
	}
}
