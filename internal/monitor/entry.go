package monitor

import (
	"math"
	"slices"

	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/estimate"
	"fillwright/internal/phase"
	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// onEntry takes an act of the operator in.
func (m *Monitor) onEntry(h *recording.Heard) {
	e, t := &h.Entry, m.snap.TimeS
	m.ready.drawnS = math.Inf(-1) // whatever was done shows on the list at once
	switch e.Kind {
	case wire.EntryAcknowledge:
		m.alarms.Acknowledge(e.Text)
		m.reminded(e.Text)
		m.events.accept(t, e.Text)
	case wire.EntrySurface:
		m.surface(h, float64(e.Value)/1000+273.15)
	case wire.EntryUndo:
		m.takeBack(h)
	case wire.EntryMark:
		m.events.add(t, EventEntry, wording.Marked(e.Text))
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
		m.events.refuse(t, wording.UnknownStation)
		return
	}
	stations := append([]Station(nil), m.snap.Stations...)
	s := &stations[station]
	text := wording.SurfaceRead(s.Name, surfaceK)
	if !m.est.Started() {
		m.events.refuse(t, text.And(wording.IgnoredTooEarly))
		return
	}
	m.shown = append(m.shown[max(0, len(m.shown)+1-wire.UndoMost):], shown{h.Reading, t, s.SurfaceK, s.SurfaceS, m.unsettled[station]})
	believedK := s.OuterK
	use, refused := m.est.Read(h.Reading, station, surfaceK, t), false
	m.unsettled[station] = unsettled{}
	switch use {
	case estimate.UseImpossible:
		m.unsettled[station] = unsettled{k: surfaceK, impossible: true, stands: true}
		text, refused = text.And(wording.NotPossible), true
	case estimate.UseColder:
		m.unsettled[station] = unsettled{k: surfaceK, stands: true}
		text, refused = text.And(wording.EstimateIs(believedK)), true
	case estimate.UseHotter:
		text = text.And(wording.HotterThan(believedK))
	case estimate.UseConfirmed:
		text = text.And(wording.SecondToSaySo)
	}
	s.SurfaceK, s.SurfaceS = surfaceK, t
	m.snap.Stations = stations
	if refused {
		m.events.refuse(t, text)
	} else {
		m.events.add(t, EventEntry, text)
	}
	if m.snap.Phase == phase.Vented && m.ready.confirmed[checklist.PeopleClear] {
		m.confirmed(checklist.PeopleClear, false) // whoever read the wall is at the vessel
	}
	m.renew()
}

// shown is what a station showed before a hand-held reading.
type shown struct {
	reading   int     // the reading's number in the recording
	atS       float64 // session time of the reading
	k, timeS  float64
	unsettled unsettled
}

// wouldReach tells whether a wall under pressure would have no margin by an
// estimate as it was at some time.
func (m *Monitor) wouldReach(f *estimate.Filter) bool {
	if f.Flow().PressurePa <= m.est.AbsolutePa(underPa) {
		return false
	}
	var walls [vessel.StationsMost]estimate.Wall
	times, _ := doubt(m.doubtFacts())
	of := walls[:len(m.snap.Stations)]
	worst := f.Walls(times, of)
	upK := worst.ValueK + worst.BandK
	for i := range of {
		if up := of[i].Hottest.ValueK + of[i].Hottest.BandK; of[i].Read {
			upK = math.Max(upK, up)
		}
	}
	return !(upK < float64(m.cfg.Profile.Resin.Onset))
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
func (m *Monitor) unsettledText() wording.Text {
	for i, u := range m.unsettled {
		switch {
		case !u.stands:
		case u.impossible:
			return wording.ReadingImpossible(u.k, m.cfg.Profile.Stations[i].Name)
		default:
			return wording.ReadingColder(u.k, m.cfg.Profile.Stations[i].Name)
		}
	}
	return wording.Text{}
}

// ofReadings are the alarms that a hand-held reading may raise.
var ofReadings = []string{
	alarm.WallOver, alarm.WallAbort, alarm.VentAdvised, alarm.WallMargin, alarm.SideSoft, alarm.HoldLimit,
	alarm.RampHigh, alarm.Unsettled, alarm.OutsideModel,
}

// takeBack undoes a surface reading. One that the estimate has not in it, or
// not any more, leaves the estimate as it is.
func (m *Monitor) takeBack(h *recording.Heard) {
	if h.Reading < 0 {
		m.events.refuse(m.snap.TimeS, wording.NothingToUndo)
		return
	}
	was, text, still := shown{k: math.NaN(), timeS: math.NaN()}, wording.TakenBackAnew, false
	if m.est.TakeBack(h.Reading, func(f *estimate.Filter) { still = still || m.wouldReach(f) }) {
		text = wording.TakenBack
		i := slices.IndexFunc(m.shown, func(s shown) bool { return s.reading == h.Reading })
		was = m.shown[i]
		m.shown = slices.Delete(m.shown, i, i+1)
		if !still && m.reachedS >= was.atS { // it was that reading which had the wall reach onset
			m.reached = false
		}
		m.pace.shutS = math.NaN()
		for _, name := range ofReadings {
			m.alarms.End(name) // what stands without the reading is set again
		}
	}
	stations := append([]Station(nil), m.snap.Stations...)
	back := &stations[h.Station]
	back.SurfaceK, back.SurfaceS = was.k, was.timeS
	m.unsettled[h.Station] = was.unsettled
	m.snap.Stations = stations
	m.events.add(m.snap.TimeS, EventEntry, text)
	m.renew()
}

// target changes the operator's target, within the vessel's limit.
func (m *Monitor) target(gaugePa float64) {
	limit := float64(m.cfg.Profile.Limits.Pressure)
	if !(gaugePa > 0) || gaugePa > limit {
		m.events.refuse(m.snap.TimeS, wording.TargetRefused(gaugePa, limit))
		return
	}
	m.targetPa, m.snap.TargetPa = gaugePa, gaugePa
	m.alarms.End(alarm.TargetReached) // it was of another
	m.events.add(m.snap.TimeS, EventEntry, wording.Target(gaugePa))
	m.renew()
}

// renew draws everything up again after an entry.
func (m *Monitor) renew() {
	if m.est.Started() {
		m.estimates()
		m.ahead.atS = math.Inf(-1)
		m.ahead.planner.Forget()
		m.lookAhead()
	}
}
