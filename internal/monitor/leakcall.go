package monitor

import (
	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/wording"
)

// SecondLook is the text of an EntryWithdraw with which a person doubts a
// called leak: it is looked for a second time.
const SecondLook = "leak"

// leakCall is a leak that was called. It stands in every phase until the
// vessel is vented or a second look takes it back: gas that left does not come
// back because the valve was turned.
type leakCall struct {
	called bool
	found  advise.Leak // as last found on a hold
	looks  bool        // a second look is under way
	look   leakWatch
}

// A second look is as long as a look of its own, and must rule out what was
// called; common practice, no source.
const secondLookS = 60.0

// secondLook begins one. It needs a vessel that stands: only there the
// inventory tells a leak.
func (m *Monitor) secondLook() {
	t := m.snap.TimeS
	switch {
	case !m.call.called:
		m.events.refuse(t, wording.NoLeakCalled)
	case m.snap.Phase != phase.Holding:
		m.events.refuse(t, wording.MustStandShut)
	default:
		m.call.looks = true
		m.call.look.restart(t)
		if t-m.snap.PhaseSince > phase.StirredS {
			m.call.look.nextS = t // the gas has come to rest already
		}
		m.events.add(t, EventEntry, wording.SecondLookBegins)
	}
}

// judgeSecondLook ends a second look as soon as it can tell.
func (m *Monitor) judgeSecondLook(rateOf func(*leakWatch) (advise.Leak, bool)) {
	w := &m.call.look
	l, ok := rateOf(w)
	if !ok || w.t[w.n-1]-w.t[0] < secondLookS {
		return
	}
	t := m.snap.TimeS
	tell := func(verdict wording.Text) {
		m.events.add(t, EventEntry, wording.SecondLookFound(l.RateKgS, l.BandKgS, verdict))
	}
	switch {
	case l.Significant:
		m.call.looks, m.call.found = false, l
		tell(wording.LeakStands)
	case l.RateKgS+l.BandKgS < m.call.found.RateKgS:
		m.leak = *w // what was looked at before would call it again
		m.call = leakCall{}
		m.found = l
		tell(wording.LeakTakenBack)
	case w.n == leakKeep:
		m.call.looks = false
		tell(wording.LeakNotTold)
	}
}

// watchCall calls a leak once its alarm has been raised, and lets it go with
// the gas.
func (m *Monitor) watchCall() {
	s := &m.snap
	switch {
	case s.Phase == phase.Vented:
		m.call = leakCall{}
	case m.found.Significant && (m.call.called || m.alarmPresent(alarm.Leak)):
		m.call.called, m.call.found = true, m.found
	}
	m.tellLeak()
}

// tellLeak shows what was found, or the leak that was called.
func (m *Monitor) tellLeak() {
	m.snap.Leak = m.found
	if m.call.called && !m.found.Significant {
		m.snap.Leak = m.call.found
		m.snap.Leak.Significant = true
	}
}

// leakText are the words of the leak's alarm.
func (m *Monitor) leakText() wording.Text {
	l := &m.snap.Leak
	text := wording.Losing(l.RateKgS, l.BandKgS)
	switch {
	case m.call.looks:
		return wording.LosingLooked(text)
	case m.call.called && !m.found.Significant:
		return wording.LosingCalled(text)
	}
	return text
}

// alarmPresent tells whether an alarm's condition stands.
func (m *Monitor) alarmPresent(name string) bool {
	for i := range m.snap.Alarms {
		if a := &m.snap.Alarms[i]; a.Name == name {
			return a.Present()
		}
	}
	return false
}
