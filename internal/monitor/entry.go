package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/observe"
	"fillwright/internal/recording"
	"fillwright/internal/wire"
)

// onEntry takes an act of the operator in.
func (m *Monitor) onEntry(h *recording.Heard) {
	e, t := &h.Entry, m.snap.TimeS
	m.readyS = math.Inf(-1) // whatever was done shows on the list at once
	switch e.Kind {
	case wire.EntryAcknowledge:
		m.alarms.Acknowledge(e.Text)
		m.reminded(e.Text)
		what := e.Text
		if what == "" {
			what = "all alarms"
		}
		m.events.add(t, EventEntry, "acknowledged: "+what)
	case wire.EntrySurface:
		m.surface(h, float64(e.Value)/1000+273.15)
	case wire.EntryUndo:
		m.takeBack(h)
	case wire.EntryMark:
		m.events.add(t, EventEntry, "mark: "+e.Text)
	case wire.EntryConfirm, wire.EntryWithdraw:
		m.confirmed(e.Text, e.Kind == wire.EntryConfirm)
	case wire.EntryRemind:
		m.remind(e.Text, float64(e.Value))
	case wire.EntryTarget:
		m.target(float64(e.Value))
	}
}

// surface takes a hand-held reading in. What became of it is told, and an
// unsettled one stands as an alarm until it is settled.
func (m *Monitor) surface(h *recording.Heard, surfaceK float64) {
	t, station := m.snap.TimeS, h.Station
	if h.Reading < 0 {
		m.events.add(t, EventEntry, "surface reading of an unknown station ignored")
		return
	}
	stations := append([]Station(nil), m.snap.Stations...)
	s := &stations[station]
	text := fmt.Sprintf("surface %s read %.1f °C", s.Name, surfaceK-273.15)
	if !m.obs.Started() {
		m.events.add(t, EventEntry, text+", ignored: no pressure and gas temperature yet")
		return
	}
	m.undo.mark(mark{reading: h.Reading, before: m.obs.Clone(), wasK: s.SurfaceK, wasS: s.SurfaceS, unsettled: m.unsettled[station]})
	believedK := s.OuterK
	use := m.obs.CorrectSurface(station, surfaceK, t)
	m.unsettled[station] = unsettled{}
	switch use {
	case observe.UseImpossible:
		m.unsettled[station] = unsettled{k: surfaceK, impossible: true, stands: true}
		text += ", not used: sun, air and gas do not allow it; read again, or take it back"
	case observe.UseColder:
		m.unsettled[station] = unsettled{k: surfaceK, stands: true}
		text += fmt.Sprintf(", not used yet: the estimate is %.1f °C; read again, a second such reading counts", believedK-273.15)
	case observe.UseHotter:
		text += fmt.Sprintf(", hotter than the %.1f °C estimated: the estimate follows it", believedK-273.15)
	case observe.UseConfirmed:
		text += ", the second to say so: the estimate follows it"
	}
	s.SurfaceK, s.SurfaceS = surfaceK, t
	m.snap.Stations = stations
	m.events.add(t, EventEntry, text)
	if m.snap.Phase == PhaseVented && m.confirm[peopleClear] {
		m.confirmed(peopleClear, false) // whoever read the wall is at the vessel
	}
	m.renew()
}

// unsettled is a hand-held reading that was not taken, and why.
type unsettled struct {
	k          float64
	impossible bool // else: colder than was believed, and waits for a second one
	stands     bool
}

// worstWith is the hotter of the estimate's upper bound and any reading that is
// not settled.
func (m *Monitor) worstWith(worstK float64) float64 {
	for _, u := range m.unsettled {
		if u.stands && u.k > worstK {
			worstK = u.k
		}
	}
	return worstK
}

// unsettledHotter tells whether a reading that is not settled says that the wall
// is hotter than the estimate does.
func (m *Monitor) unsettledHotter() bool {
	for i, u := range m.unsettled {
		if u.stands && !(u.k <= m.snap.Stations[i].OuterK) {
			return true
		}
	}
	return false
}

// unsettledText says which reading is not settled and what to do; empty if none
// is.
func (m *Monitor) unsettledText() string {
	for i, u := range m.unsettled {
		switch {
		case !u.stands:
		case u.impossible:
			return fmt.Sprintf("%.1f °C at %s can't be: read again, or take it back", u.k-273.15, m.cfg.Profile.Stations[i].Name)
		default:
			return fmt.Sprintf("%.1f °C at %s is colder than estimated: read again", u.k-273.15, m.cfg.Profile.Stations[i].Name)
		}
	}
	return ""
}

// takeBack undoes a surface reading. One that the estimate has not in it, or
// not any more, leaves the estimate as it is.
func (m *Monitor) takeBack(h *recording.Heard) {
	if h.Reading < 0 {
		m.events.add(m.snap.TimeS, EventEntry, "nothing to undo: no surface reading in the last ten minutes")
		return
	}
	was, text := mark{wasK: math.NaN(), wasS: math.NaN()}, "surface reading taken back; the estimate had begun anew since it, or not begun"
	if in, ok := m.undo.take(h.Reading); ok {
		was, m.obs, text = in, in.before, "surface reading taken back"
	}
	stations := append([]Station(nil), m.snap.Stations...)
	back := &stations[h.Station]
	back.SurfaceK, back.SurfaceS = was.wasK, was.wasS
	m.unsettled[h.Station] = was.unsettled
	m.snap.Stations = stations
	m.events.add(m.snap.TimeS, EventEntry, text)
	m.renew()
}

// target changes the operator's target, within the vessel's limit.
func (m *Monitor) target(gaugePa float64) {
	limit := float64(m.cfg.Profile.Limits.Pressure)
	if !(gaugePa > 0) || gaugePa > limit {
		m.events.add(m.snap.TimeS, EventEntry, fmt.Sprintf("target %.1f bar refused: vessel limit is %.1f bar", gaugePa/1e5, limit/1e5))
		return
	}
	m.targetPa, m.snap.TargetPa = gaugePa, gaugePa
	m.events.add(m.snap.TimeS, EventEntry, fmt.Sprintf("target %.1f bar", gaugePa/1e5))
	m.renew()
}

// renew draws everything up again after an entry.
func (m *Monitor) renew() {
	if m.obs.Started() && m.slope.n > 0 {
		m.estimates()
		m.advised = math.Inf(-1)
		m.planner.Forget()
		m.lookAhead()
	}
}
