package monitor

import (
	"math"
	"slices"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// overrule lets old readings, lost sensors, what the vessel went through and
// an abort speak over the last advice.
func (m *Monitor) overrule() {
	s := &m.snap
	s.Advice = m.ahead.advice
	m.keepPace()
	switch why := m.distrust(); {
	case !m.play.Time.Started():
	case !why.Empty():
		s.Advice, _ = advise.Unknown(wording.ShutBecause(why))
	case m.old():
		s.Advice, _ = advise.Unknown(wording.ReadingsAreOld(s.Link.AgeS))
	case m.gone(vessel.RolePressure, &m.trust.pressureGoneS) && s.Phase == phase.Venting:
		s.Advice, _ = advise.Unknown(wording.NoPressureInVent)
	case m.gone(vessel.RolePressure, &m.trust.pressureGoneS):
		s.Advice, _ = advise.Unknown(wording.NoPressure)
	case s.Phase == phase.Filling && math.IsNaN(s.RampPaS) && m.est.Started():
		s.Advice, _ = advise.Unknown(wording.RampNotKnown)
	case s.Phase == phase.Vented && m.est.Started() && m.gone(vessel.RoleGas, &m.trust.gasGoneS):
		// A fill without it would be blind in three seconds.
		m.order(advise.VerdictNoStart, wording.NoGasBeforeFill)
	case s.Phase == phase.Holding && m.est.Started() && m.gone(vessel.RoleGas, &m.trust.gasGoneS):
		s.Advice, _ = advise.Unknown(wording.NoGasInHold)
	}
	if s.Advice.Verdict.AsksForGas() && s.Phase != phase.Filling && m.snap.alarmPresent(alarm.DataStale) {
		v := advise.VerdictHold
		if s.Phase <= phase.Vented {
			v = advise.VerdictNoStart
		}
		m.order(v, wording.DataJustBack)
	}
	m.keepTopUp()
	if left := math.Max(m.phase.FilledS+phase.StirredS, m.missesS+topUpStandsS) - s.TimeS; s.Advice.Verdict == advise.VerdictTopUp && left > 0 {
		// What is missing is not known before, nor whether it leaks or is being vented.
		m.order(advise.VerdictHold, wording.LetItSettle)
		s.Advice.WaitS = left
	}
	if s.Advice.Verdict == advise.VerdictTopUp && s.VentSaid {
		m.order(advise.VerdictHold, wording.VentIsSaid)
	}
	if more := s.Advice.Verdict.AsksForGas() && s.Advice.Verdict != advise.VerdictReady; more && m.leak.Found.Significant {
		m.order(advise.VerdictHold, wording.MayLeak)
	}
	if s.Advice.Verdict.AsksForGas() && m.unsettledHotter() {
		v := advise.VerdictHold
		if s.Phase <= phase.Vented {
			v = advise.VerdictNoStart
		}
		m.order(v, m.unsettledText())
	}
	if s.Advice.Verdict.AsksForGas() && (!(s.MarginK > 0) || m.snap.abortStands()) {
		// The planner looks at the hottest line; what is known of a place beside it
		// may reach higher.
		v := advise.VerdictHold
		if s.Phase <= phase.Vented {
			v = advise.VerdictNoStart
		}
		m.order(v, wording.NoMargin)
	}
	if s.Advice.Verdict.AsksForGas() {
		if why := m.restsOnNothing(); !why.Empty() {
			m.order(advise.VerdictHold, why)
		}
	}
	abort := m.snap.abort()
	switch {
	case abort == nil:
	case m.snap.wantsVent(abort.Name):
		m.order(advise.VerdictVent, abort.Cause) // with the supply shut nothing else helps
	default:
		m.order(advise.VerdictStop, abort.Cause)
	}
	if why := m.mustVent(); !why.Empty() && s.Advice.Verdict != advise.VerdictVent {
		m.order(advise.VerdictVent, why)
	}
}

// goneS is how long a sensor has to be there again before gas is asked for by it: a
// contact that makes and breaks would have the order change faster than it can be
// read, let alone be obeyed. Common practice, no source.
const goneS = 2.0

// gone tells whether no sensor in a role is good, or was a moment ago; lastS is when
// last none was.
func (m *Monitor) gone(role vessel.Role, lastS *float64) bool {
	if !m.snap.sensor(role) {
		*lastS = m.snap.TimeS
	}
	return m.snap.TimeS-*lastS < goneS
}

// topUpStandsS is how long gas has to be missing before more of it is offered: a
// vent that begins passes there before it shows in the ramp, in less than that
// where it is of 3 bar/min, the slowest that is told from gas that cools. Common
// practice, no source.
const topUpStandsS = 5.0

// keepTopUp remembers since when gas is missing on a hold.
func (m *Monitor) keepTopUp() {
	switch {
	case m.ahead.advice.Verdict != advise.VerdictTopUp:
		m.missesS = math.NaN()
	case math.IsNaN(m.missesS):
		m.missesS = m.snap.TimeS
	}
}

// abortStands tells whether any abort's condition stands, in any phase.
func (s *Snapshot) abortStands() bool {
	return slices.ContainsFunc(s.Alarms, func(a alarm.Active) bool { return a.Level == alarm.LevelAbort && a.Present() })
}

// order replaces the advice by one that lets no gas in.
func (m *Monitor) order(v advise.Verdict, why wording.Text) {
	a := &m.snap.Advice
	a.Verdict, a.Reason, a.RampPaS, a.Then = v, why, 0, advise.Change{}
	a.TargetInS, a.WaitS = math.NaN(), math.NaN()
}

// mustVent is why the vessel gets no more gas and is to be vented, whatever the
// wall allows now; empty if it need not. What calls for it stands until the gas
// has gone, or a person takes it back.
func (m *Monitor) mustVent() wording.Text {
	switch {
	case m.snap.Phase <= phase.Vented:
	case m.reached:
		return m.reachedText()
	case m.vent.lost:
		return m.lossText()
	case m.leak.Called:
		return m.leakText()
	}
	return wording.Text{}
}

func (m *Monitor) reachedText() wording.Text {
	return wording.ReachedOnset(m.reachedS)
}

// abort is the abort that stands, the one to vent before any other.
func (s *Snapshot) abort() *alarm.Active {
	var out *alarm.Active
	for i := range s.Alarms {
		a := &s.Alarms[i]
		if a.Level != alarm.LevelAbort || !a.Present() || s.Phase == phase.Vented && s.wantsVent(a.Name) {
			continue // nothing is left to vent
		}
		if out == nil || a.Name == alarm.VentAdvised || out.Name != alarm.VentAdvised && s.wantsVent(a.Name) {
			out = a
		}
	}
	return out
}

// wantsVent says whether an abort asks to vent: it says so itself, or the
// supply is shut already and it stands on.
func (s *Snapshot) wantsVent(name string) bool {
	return name == alarm.VentAdvised ||
		s.Phase != phase.Filling && (name == alarm.WallOver || name == alarm.PressureOver)
}

// watchReached remembers until the vessel is vented that the wall may have
// reached the onset under pressure.
func (m *Monitor) watchReached() {
	for i := range m.snap.Alarms {
		a := &m.snap.Alarms[i]
		if a.Name == alarm.WallOver && a.Present() && !m.reached {
			m.reached, m.reachedS = true, a.SinceS
		}
	}
	if m.snap.Phase <= phase.Vented {
		m.reached = false
	}
}
