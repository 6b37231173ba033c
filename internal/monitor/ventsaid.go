package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// VentSaid is the text of an EntryConfirm with which the operator says that he
// is venting, or about to; an EntryWithdraw takes it back.
const VentSaid = "vent"

// ventWatch tells a vent from gas that leaves by itself: the program sees no
// valve, so a vent is one that was advised, planned or said.
type ventWatch struct {
	saidS  float64 // session time at which it was said, or lasted; NaN: not
	asked  bool    // the gas that leaves was asked to
	lost   bool    // gas left that nobody had asked to
	fromPa float64 // gauge, where it began
	overPa float64 // gauge; cooling to the coldest wall brings it no lower
}

// saidStandsS is how long a word stands before the vent begins, and between
// two parts of it. Common practice, no source.
const saidStandsS = 60.0

// ventBegins is told when gas begins to leave.
func (m *Monitor) ventBegins(was phase.Phase) {
	s, v := &m.snap, &m.vent
	said := s.TimeS-v.saidS <= saidStandsS
	advised := s.Advice.Verdict == advise.VerdictVent && !v.lost
	planned := was == phase.Holding && s.TimeS-s.PhaseSince >= float64(m.cfg.Profile.Fill.Hold) || m.snap.alarmPresent(alarm.HoldLimit)
	v.asked = said || advised || planned
	v.fromPa, v.overPa = s.PressurePa, m.cooledPa()-lossShare*m.est.AbsolutePa(s.PressurePa)
}

// cooledPa is the gauge pressure that the gas now inside comes to when it has
// cooled to the coldest wall: p/T is constant (ideal gas). Under that, gas has
// left.
func (m *Monitor) cooledPa() float64 {
	s, out := &m.snap, m.snap.PressurePa
	for i := range s.Stations {
		if cold := m.est.AbsolutePa(s.PressurePa) * math.Min(s.Stations[i].InnerK/s.GasK, 1); !math.IsNaN(cold) {
			out = math.Min(out, cold-float64(m.cfg.Profile.AmbientPressure))
		}
	}
	return out
}

// lossShare of the pressure is what an estimate of the gas's temperature that
// lags (by 6 K) may explain. Common practice, no source.
const lossShare = 0.02

// saysVent takes the operator's word, or his taking it back.
func (m *Monitor) saysVent(yes bool) {
	t, v := m.snap.TimeS, &m.vent
	if !yes {
		v.saidS, v.asked = math.NaN(), false
		m.events.add(t, EventEntry, wording.VentTakenBack)
		return
	}
	v.saidS, v.asked, v.lost = t, true, false
	m.events.add(t, EventEntry, wording.VentSaid)
}

// unasked says whether gas leaves that nobody asked to, and more of it than a
// gas that cools can feign. Under ventWorthPa
// there is little left to tear anything open.
func (m *Monitor) unasked() bool {
	s := &m.snap
	return s.Phase == phase.Venting && !m.vent.asked && s.PressurePa < m.vent.overPa && !(s.PressurePa <= ventWorthPa)
}

// watchLoss remembers a loss once its alarm has been raised, until the vessel
// is vented or somebody says that he vents it.
func (m *Monitor) watchLoss() {
	s, v := &m.snap, &m.vent
	switch {
	case s.Phase == phase.Vented:
		v.lost, v.asked = false, false
	case m.unasked() && m.snap.alarmPresent(alarm.GasLoss):
		v.lost = true
	}
	s.VentSaid = s.TimeS-v.saidS <= saidStandsS
	if s.Phase == phase.Venting && v.asked && s.TimeS-v.saidS <= saidStandsS {
		v.saidS = s.TimeS // it lasts as long as the vent
	}
}

// lossText are the words of gas that leaves, or left, by itself.
func (m *Monitor) lossText() wording.Text {
	s := &m.snap
	if s.Phase == phase.Venting && s.RampPaS < 0 {
		return wording.LosingUnasked(-s.RampPaS)
	}
	return wording.LostUnsaid(m.vent.fromPa)
}
