package monitor

import (
	"fillwright/internal/alarm"
	"fillwright/internal/leak"
	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// SecondLook is the text of an EntryWithdraw with which a person doubts a
// called leak: it is looked for a second time.
const SecondLook = "leak"

// secondLook begins one. It needs a vessel that stands: only there the
// inventory tells a leak.
func (m *Monitor) secondLook() {
	t := m.snap.TimeS
	switch {
	case !m.leak.Called:
		m.events.refuse(t, wording.NoLeakCalled)
	case m.snap.Phase != phase.Holding:
		m.events.refuse(t, wording.MustStandShut)
	default:
		m.leak.Look(t, m.snap.PhaseSince)
		m.events.add(t, EventEntry, wording.SecondLookBegins)
	}
}

// beginLeak looks for a leak anew, from now on.
func (m *Monitor) beginLeak() {
	if m.leak.Begin(m.snap.TimeS) {
		m.events.refuse(m.snap.TimeS, wording.DidNotStand)
	}
}

// watchLeak brings the leak verdict up to date during a hold, and tells how a
// second look ended.
func (m *Monitor) watchLeak(t float64) {
	if m.snap.Phase != phase.Holding {
		return
	}
	b, flow := m.est.Estimate(), m.est.Flow()
	how, found := m.leak.Add(leak.Point{
		TimeS: t, MassKg: b.Model.MassKg(b.State.GasK, flow.PressurePa), GasK: b.State.GasK,
		SettledPa: b.Model.SettledPa(&b.State, &b.Params, flow.MassKg), SettledKg: flow.MassKg,
		Long: b.Model.FarShare > 0,
	})
	if how == leak.None {
		return
	}
	verdict := map[leak.Outcome]wording.Text{
		leak.Stands: wording.LeakStands, leak.TakenBack: wording.LeakTakenBack, leak.NotTold: wording.LeakNotTold,
	}[how]
	m.events.add(m.snap.TimeS, EventEntry, wording.SecondLookFound(found.RateKgS, found.BandKgS, verdict))
}

// watchCall calls a leak once its alarm has been raised, and lets it go with
// the gas.
func (m *Monitor) watchCall() {
	switch {
	case m.snap.Phase == phase.Vented:
		m.leak.Vented()
	case m.leak.Called || m.snap.alarmPresent(alarm.Leak):
		m.leak.Call()
	}
	m.snap.Leak = m.leak.Verdict()
}

// leakText are the words of the leak's alarm.
func (m *Monitor) leakText() wording.Text {
	text := wording.Losing(m.snap.Leak.RateKgS, m.snap.Leak.BandKgS)
	switch {
	case m.leak.Looks:
		return wording.LosingLooked(text)
	case m.leak.Standing():
		return wording.LosingCalled(text)
	}
	return text
}

// alarmPresent tells whether an alarm's condition stands.
func (s *Snapshot) alarmPresent(name string) bool {
	for i := range s.Alarms {
		if a := &s.Alarms[i]; a.Name == name {
			return a.Present()
		}
	}
	return false
}
