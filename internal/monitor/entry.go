package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/wire"
)

// onEntry takes an act of the operator in.
func (m *Monitor) onEntry(body []byte) {
	var e wire.Entry
	if err := wire.ParseEntry(body, &e); err != nil {
		return
	}
	t := m.snap.TimeS
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
		m.surface(int(e.Station), float64(e.Value)/1000+273.15)
	case wire.EntryUndo:
		m.takeBack()
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

// surface takes a hand-held reading in; an absurd one is refused aloud.
func (m *Monitor) surface(station int, surfaceK float64) {
	t := m.snap.TimeS
	if station >= len(m.snap.Stations) {
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
	before := m.obs.Clone()
	if !m.obs.CorrectSurface(station, surfaceK) {
		m.events.add(t, EventEntry, fmt.Sprintf("%s, not used: estimate is %.1f °C; read again", text, s.OuterK-273.15))
		return
	}
	m.undo.mark(before, station, s)
	s.SurfaceK, s.SurfaceS = surfaceK, t
	m.snap.Stations = stations
	m.events.add(t, EventEntry, text)
	if m.snap.Phase == PhaseVented && m.confirm[peopleClear] {
		m.confirmed(peopleClear, false) // whoever read the wall is at the vessel
	}
	m.renew()
}

// takeBack undoes the last surface reading.
func (m *Monitor) takeBack() {
	o := m.undo.take()
	if o == nil {
		m.events.add(m.snap.TimeS, EventEntry, "nothing to undo: no surface reading in the last ten minutes")
		return
	}
	m.obs = o
	stations := append([]Station(nil), m.snap.Stations...)
	back := &stations[m.undo.index]
	back.SurfaceK, back.SurfaceS = m.undo.wasK, m.undo.wasS
	m.snap.Stations = stations
	m.events.add(m.snap.TimeS, EventEntry, "surface reading taken back")
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
