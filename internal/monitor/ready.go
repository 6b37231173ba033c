package monitor

import (
	"math"
	"slices"

	"fillwright/internal/advise"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// ReadyState is what is known of an item of the readiness list.
type ReadyState uint8

// The states. Only ReadyYes counts as ready.
const (
	ReadyUnknown ReadyState = iota // not looked at, or not known yet
	ReadyYes
	ReadyNo // looked at, and not as it should be
)

// ReadyItem is a line of the list that is gone through before a fill. The
// list informs; it forbids nothing.
type ReadyItem struct {
	Name  string // stable: the text of EntryConfirm and EntryWithdraw
	Title string
	State ReadyState
	Why   wording.Text // what was found, or what to do; short
	Hand  bool         // only a person can tell: confirmed by an entry
}

// handItems are confirmed by hand, for one fill each.
var handItems = [...]ReadyItem{
	{Name: peopleClear, Title: "people clear", Why: wording.LookThenConfirm},
	{Name: "relief-valve", Title: "relief valve fitted", Why: wording.LookThenConfirm},
	{Name: "vent-line", Title: "vent line tested", Why: wording.TestThenConfirm},
}

// Limits of the list. Common practice, no source, but for the shares of the
// vessel's limit, which are those of its alarms.
const (
	readyEveryS   = 1.0    // how often the list is drawn up
	surfaceOldS   = 600.0  // a hand-held reading says little after that
	zeroLeastPa   = 0.1e5  // what a sound sensor may read vented, at the least
	zeroShare     = 0.005  // of the vessel's limit
	airLeastK     = 233.15 // no pad is colder than -40 °C
	airMostK      = 358.15 // or anything on it hotter than 85 °C, vented
	gasOffMostK   = 30.0   // gas from ambient, vented, in full sun
	readyItemMost = 16
)

// watchReady draws the list up before a fill, once a second and after entries.
func (m *Monitor) watchReady() {
	s := &m.snap
	if m.sum.underWay() || !(s.PressurePa <= underPa || s.Phase <= phase.Vented) {
		s.Ready, m.readyS = nil, math.Inf(-1)
		return
	}
	if s.TimeS < m.readyS+readyEveryS && s.TimeS >= m.readyS && s.Ready != nil {
		return
	}
	m.readyS = s.TimeS
	list := make([]ReadyItem, 0, readyItemMost)
	for _, item := range [...]func() ReadyItem{m.readySensors, m.readyOffsets, m.readyZero, m.readySurface,
		m.readyModel, m.readyLog, m.readyTarget, m.readyWall} {
		list = append(list, item())
	}
	for _, hand := range handItems {
		hand.Hand = true
		if m.confirm[hand.Name] {
			hand.State, hand.Why = ReadyYes, wording.IsConfirmed
		}
		list = append(list, hand)
	}
	s.Ready = list
}

// confirmed takes a confirmation in, or takes it back.
func (m *Monitor) confirmed(name string, yes bool) {
	switch {
	case name == VentSaid:
		m.saysVent(yes)
		return
	case name == SecondLook && !yes:
		m.secondLook()
		return
	}
	if !slices.ContainsFunc(handItems[:], func(i ReadyItem) bool { return i.Name == name }) {
		m.events.refuse(m.snap.TimeS, wording.UnknownItem(name))
		return
	}
	m.confirm[name] = yes
	m.events.add(m.snap.TimeS, EventEntry, wording.Confirmed(name, yes))
}

// peopleClear is the item that a hand-held reading takes back.
const peopleClear = "people-clear"

// openItems names what is not ready.
func openItems(list []ReadyItem) []string {
	var out []string
	for i := range list {
		if list[i].State != ReadyYes {
			out = append(out, list[i].Title)
		}
	}
	return out
}

// readySensors: every sensor lives, and what they say can be.
func (m *Monitor) readySensors() ReadyItem {
	item := ReadyItem{Name: "sensors", Title: "sensors alive and plausible", State: ReadyNo}
	s := &m.snap
	switch {
	case !m.play.Time.Started():
		item.State, item.Why = ReadyUnknown, wording.NoReadingYet
		return item
	case m.old():
		item.Why = wording.NoNewReadings
		return item
	}
	if ill := m.illSensor(false); ill != nil {
		item.Why = m.illText(ill)
		return item
	}
	for i := range s.Sensors {
		r := &s.Sensors[i]
		if r.Health == probe.HealthUnknown {
			item.State, item.Why = ReadyUnknown, wording.NotRead(r.Channel)
			return item
		}
		if r.Role != vessel.RolePressure && r.Role != vessel.RoleSupply && !(r.Value >= airLeastK && r.Value <= airMostK) {
			item.Why = wording.CheckChannel(r.Channel, r.Value)
			return item
		}
	}
	if off := s.BeadK - s.AmbientK; math.Abs(off) > gasOffMostK {
		item.Why = wording.CheckBoth(s.BeadK, s.AmbientK)
		return item
	}
	item.State, item.Why = ReadyYes, wording.AllOf(len(s.Sensors))
	return item
}

// readyZero: an open vessel reads nothing.
func (m *Monitor) readyZero() ReadyItem {
	item := ReadyItem{Name: "zero", Title: "pressure reads zero vented", State: ReadyNo}
	p := m.snap.PressurePa
	most := math.Max(zeroLeastPa, zeroShare*float64(m.cfg.Profile.Limits.Pressure))
	switch {
	case math.IsNaN(p):
		item.State, item.Why = ReadyUnknown, wording.NoPressureYet
	case math.Abs(p) <= most:
		// A tenth of a bar is what may change without a new list each second.
		item.State, item.Why = ReadyYes, wording.Within(most)
	default:
		item.Why = wording.ZeroOff(p)
	}
	return item
}

// readySurface: each station has a sensor that lives, or a fresh reading by hand.
func (m *Monitor) readySurface() ReadyItem {
	item := ReadyItem{Name: "surface", Title: "wall read at each station", State: ReadyYes}
	var open, sensor, hand []string
	for i := range m.snap.Stations {
		st := &m.snap.Stations[i]
		switch {
		case !math.IsNaN(st.SensorK):
			sensor = append(sensor, st.Name)
		case m.snap.TimeS-st.SurfaceS <= surfaceOldS:
			hand = append(hand, st.Name)
		default:
			open = append(open, st.Name)
		}
	}
	if len(open) > 0 {
		item.State, item.Why = ReadyNo, wording.ReadByHand(open)
		return item
	}
	item.Why = wording.WallReadBy(sensor, hand)
	return item
}

// readyModel: the wall model was learned from this vessel.
func (m *Monitor) readyModel() ReadyItem {
	item := ReadyItem{Name: "model", Title: "model fits the vessel", State: ReadyNo}
	l := m.learned
	switch {
	case l.IsHandbook():
		item.Why = wording.HandbookValues
	case l.Vessel != "" && l.Vessel != m.cfg.Profile.Name:
		item.Why = wording.LearnedFromOther(l.Vessel)
	case !m.snap.Model.Widened.Empty():
		item.Why = m.snap.Model.Widened
	default:
		item.State, item.Why = ReadyYes, wording.LearnedFrom(len(l.Fills))
	}
	return item
}

// readyLog: what happens is recorded, and the disk has room.
func (m *Monitor) readyLog() ReadyItem {
	item := ReadyItem{Name: "log", Title: "log writable, with space", Why: wording.Words(m.logText)}
	switch {
	case m.snap.Link.LogFailed:
		item.State, item.Why = ReadyNo, wording.LogLost
	case m.logState == wire.LinkLogRoom:
		item.State = ReadyYes
	case m.logState == wire.LinkLogTight, m.logState == wire.LinkLogNone:
		item.State = ReadyNo
	default:
		item.Why = wording.Unknown
	}
	return item
}

// readyTarget: the target keeps off the vessel's limit.
func (m *Monitor) readyTarget() ReadyItem {
	limit := float64(m.cfg.Profile.Limits.Pressure)
	item := ReadyItem{Name: "target", Title: "target under the vessel's limit", State: ReadyYes,
		Why: wording.TargetAndLimit(m.targetPa, limit)}
	if !(m.targetPa+m.zeroPa < nearShare*limit) {
		item.State = ReadyNo
	}
	return item
}

// readyWall: the wall is cool enough to start.
func (m *Monitor) readyWall() ReadyItem {
	item := ReadyItem{Name: "wall", Title: "wall cool enough to start", Why: wording.NoWallYet}
	switch m.advice.Verdict {
	case advise.VerdictReady:
		item.State, item.Why = ReadyYes, wording.CoolEnough
	case advise.VerdictNoStart:
		item.State, item.Why = ReadyNo, wording.ShadeOrCool
	}
	return item
}
