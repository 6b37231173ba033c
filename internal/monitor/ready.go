package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/checklist"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// readyBook is what is kept for the list before a fill.
type readyBook struct {
	confirmed map[string]bool
	drawnS    float64        // session time at which it was drawn up
	log       wire.LinkState // what was last told of the run log
	logText   string
}

// readyEveryS is how often the list is drawn up; where gas begins to come in the
// list stays as it is for a while: it is a fill in a moment, and a pressure that
// does not read zero then is no news. Common practice, no source.
const (
	readyEveryS = 1.0
	beginsForS  = 3.0
	beginsPaS   = 2e5 / 60
)

// watchReady draws the list up before a fill, once a second and after entries.
func (m *Monitor) watchReady() {
	s := &m.snap
	if m.sum.underWay() || !(s.PressurePa <= underPa || s.Phase <= phase.Vented) {
		s.Ready, m.ready.drawnS = nil, math.Inf(-1)
		return
	}
	every := readyEveryS
	if s.RampPaS > beginsPaS {
		every = beginsForS
	}
	if s.TimeS < m.ready.drawnS+every && s.TimeS >= m.ready.drawnS && s.Ready != nil {
		return
	}
	m.ready.drawnS = s.TimeS
	s.Ready = checklist.List(m.readyFacts())
}

// readyFacts is what the list is drawn up from.
func (m *Monitor) readyFacts() *checklist.Facts {
	s, v := &m.snap, m.cfg.Profile
	f := &checklist.Facts{
		Profile: v, TimeS: s.TimeS, UnixMS: s.UnixMS,
		Started: m.play.Time.Started(), Old: m.old(), Ill: m.snap.illText(m.snap.illSensor(false)), Sensors: s.Sensors,
		PressurePa: s.PressurePa, BeadK: s.BeadK, AmbientK: s.AmbientK,
		Offsets: m.cfg.Offsets, Board: s.Link.Board, BoardKnown: s.Link.BoardKnown,
		Fills: len(m.learned.Fills), LearnedFrom: m.learned.Vessel, Widened: s.Model.Widened,
		FarUnread: m.learned.FarUnread(v) && !v.ReadsFarEnd(),
		LogFailed: s.Link.LogFailed, Log: m.ready.log, LogText: m.ready.logText,
		TargetSaidPa: m.targetPa, TargetPa: m.targetPa + m.zeroPa, NearPa: nearShare * float64(v.Limits.Pressure),
		Confirmed: m.ready.confirmed,
	}
	switch m.ahead.advice.Verdict {
	case advise.VerdictReady:
		f.WallCool = checklist.Yes
	case advise.VerdictNoStart:
		f.WallCool = checklist.No
	}
	for i := range s.Stations {
		st := &s.Stations[i]
		f.Walls = append(f.Walls, checklist.Wall{Name: st.Name, SensorK: st.SensorK, ReadS: st.SurfaceS})
	}
	return f
}

// confirmed takes a confirmation in, or takes it back.
func (m *Monitor) confirmed(name string, yes bool) {
	switch {
	case name == VentSaid:
		m.saysVent(yes)
	case name == SecondLook && !yes:
		m.secondLook()
	case !checklist.ByHand(name):
		m.events.refuse(m.snap.TimeS, wording.UnknownItem(name))
	default:
		m.ready.confirmed[name] = yes
		m.events.add(m.snap.TimeS, EventEntry, wording.Confirmed(name, yes))
	}
}
