package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

const (
	BlindAfterS = 3.0 // a fill without trustworthy readings for so long is blind
	underPa     = vessel.UnderPressurePa
	ventWorthPa = 1.5e5 // below this venting takes no load off that stopping does not
	marginOnK   = 3.0   // caution when the margin falls below
	nearShare   = 0.96  // of the vessel's limit
	rampHigh    = 1.5   // times the advised ramp
	holdSoonS   = 120.0 // before the hold limit
)

// judge brings the alarms up to date after an input, and lets what is not
// known any more be unknown.
func (m *Monitor) judge() {
	s := &m.snap
	m.judgeData()
	m.judgePressure()
	m.judgeWall()
	m.judgeRest()
	m.alarms.Advance(s.TimeS)
	s.Alarms = m.alarms.Active()
	s.Level = m.alarms.Worst()
	m.acceptLogger()
	m.noteAlarms()
	m.watchReached()
	m.watchCall()
	m.watchLoss()
	m.overrule()
	m.watchSummary()
	m.watchReady()
	s.Events, s.EventCount = m.events.list, m.events.count
}

// sensor tells whether any sensor in a role is good.
func (s *Snapshot) sensor(role vessel.Role) bool {
	for i := range s.Sensors {
		if r := &s.Sensors[i]; r.Role == role && r.Health == probe.HealthGood {
			return true
		}
	}
	return false
}

func (m *Monitor) judgeData() {
	s := &m.snap
	stale := m.old()
	m.alarms.Set(alarm.DataStale, stale && m.distrust().Empty() && !m.allIll(), wording.NoReading(s.Link.AgeS))
	m.countBlind(stale)
	m.alarms.Set(alarm.Blind, false, wording.Text{})
	if !m.trust.filled {
		m.alarms.End(alarm.Blind)
	}
	if s.TimeS-m.trust.blindS >= BlindAfterS-1e-9 {
		m.alarms.Set(alarm.Blind, true, wording.FillingWithout(m.missing(stale)))
	}
	m.judgeLogger()
	ill := m.snap.illSensor(stale)
	m.alarms.Set(alarm.SensorIll, ill != nil, m.snap.illText(ill))
	unsettled := m.unsettledText()
	m.alarms.Set(alarm.Unsettled, !unsettled.Empty(), unsettled)
	m.alarms.Set(alarm.LogLost, s.Link.LogFailed, wording.LogLost)
}

// illSensor is the first sensor that can't be trusted, nil if each can; a dead
// cable is not every sensor's fault.
func (s *Snapshot) illSensor(stale bool) *probe.Reading {
	for i := range s.Sensors {
		r := &s.Sensors[i]
		what := wrongWith(r)
		if what == probe.HealthGood || what == probe.HealthUnknown || (stale && r.Health == probe.HealthStale) {
			continue
		}
		return r
	}
	return nil
}

// wrongWith is a sensor's health, or else the doubt in it.
func wrongWith(r *probe.Reading) probe.Health {
	if r.Health == probe.HealthGood && r.Doubt != probe.HealthUnknown {
		return r.Doubt
	}
	return r.Health
}

// illText says what is wrong with a sensor, and what the wall is judged by
// while one of its sensors is ill.
func (s *Snapshot) illText(r *probe.Reading) wording.Text {
	if r == nil {
		return wording.Text{}
	}
	name := string(r.Role)
	if r.Station != "" {
		name += " " + r.Station
	}
	text := wording.SensorIll(r.Channel, name, wrongWith(r).String())
	if r.Role != vessel.RoleWall {
		return text
	}
	for i := range s.Sensors {
		o := &s.Sensors[i]
		if o.Role == vessel.RoleWall && o.Health == probe.HealthGood && o.Doubt == probe.HealthUnknown && o.Station != "" {
			return text.And(wording.GoingBy(o.Station))
		}
	}
	return text
}

func (m *Monitor) missing(stale bool) wording.Text {
	switch why := m.distrust(); {
	case !why.Empty():
		return wording.DataBut(why)
	case stale && !m.allIll():
		return wording.Data
	case !m.snap.sensor(vessel.RolePressure):
		return wording.ThePressure
	}
	return wording.GasTemperature
}

func (m *Monitor) judgePressure() {
	s, v := &m.snap, m.cfg.Profile
	limit := float64(v.Limits.Pressure)
	p := s.PressurePa
	text := wording.Text{} // of what is not known the table has words
	switch {
	case math.IsNaN(p):
	case m.zeroPa >= zeroSaidPa:
		text = wording.PressureAboutLimit(p, m.zeroPa, limit)
	default:
		text = wording.PressureAndLimit(p, limit)
	}
	m.alarms.SetAbove(alarm.PressureOver, m.pressureUpPa(), limit, text)
	m.alarms.SetAbove(alarm.PressureNear, m.pressureUpPa(), nearShare*limit, text)
	if s.Phase != phase.Filling {
		m.alarms.End(alarm.TargetReached)
		m.alarms.End(alarm.RampHigh)
		return
	}
	m.alarms.Set(alarm.TargetReached, m.pressureUpPa() >= advise.TargetNearShare*m.targetPa, wording.Pressure(p))
	if math.IsNaN(s.RampPaS) {
		return // a ramp that is not known clears no alarm
	}
	high, told := m.judgeRamp()
	m.alarms.Set(alarm.RampHigh, high, told)
}

func (m *Monitor) judgeWall() {
	s, v := &m.snap, m.cfg.Profile
	onset := float64(v.Resin.Onset)
	hot := wording.Text{}
	if !math.IsNaN(s.MarginK) {
		hot = wording.Hottest(s.HottestK, s.BandK, onset)
	}
	under := s.Phase > phase.Vented || m.pressureUpPa() > underPa
	m.alarms.SetBelow(alarm.WallMargin, s.MarginK, marginOnK, hot)
	over := math.NaN()
	if under {
		over = s.MarginK
	} else {
		m.alarms.End(alarm.WallOver)
	}
	m.alarms.SetBelow(alarm.WallOver, over, 0, hot)
	m.alarms.Set(alarm.WallAbort, false, wording.Text{})
	switch {
	case m.ahead.tooLate:
		m.alarms.Set(alarm.WallAbort, true, wording.TooLate(hot))
	case s.Phase != phase.Filling:
		m.alarms.End(alarm.WallAbort)
	}
	o := &s.Outlook
	vent := s.Phase > phase.Vented && !(s.PressurePa <= ventWorthPa) && s.Phase != phase.Venting && o.CoastPeakK+o.CoastPeakBandK >= onset
	switch {
	case s.Phase == phase.Vented:
		m.alarms.End(alarm.VentAdvised)
	case vent:
		m.alarms.Set(alarm.VentAdvised, true, wording.MayReachShut(o.CoastPeakK+o.CoastPeakBandK, onset))
	case m.reached:
		m.alarms.Set(alarm.VentAdvised, true, m.reachedText())
	case !math.IsNaN(o.CoastPeakK): // not knowing clears no alarm
		m.alarms.Set(alarm.VentAdvised, false, wording.Text{})
	}
	cools := m.ahead.advice.WaitS > 0 // after a fast fill, and more gas may be let in then
	m.alarms.Set(alarm.HoldLimit, s.Phase == phase.Holding && o.HoldLimitS < holdSoonS && !cools, wording.StayFullMore(o.HoldLimitS))
	if s.Phase != phase.Holding {
		m.alarms.End(alarm.HoldLimit)
	}
	m.judgeSides(under)
	m.alarms.Set(alarm.OutsideModel, !s.Model.Widened.Empty(), s.Model.Widened)
}

func (m *Monitor) judgeRest() {
	s := &m.snap
	cold := float64(m.cfg.Profile.Limits.GasCold)
	switch {
	case s.Phase != phase.Venting: // nothing is left to be vented more slowly
		m.alarms.End(alarm.GasCold)
	case !math.IsNaN(s.GasK):
		m.alarms.SetBelow(alarm.GasCold, s.GasK, cold, wording.GasAt(s.GasK))
	}
	due := m.due()
	m.alarms.Set(alarm.Reminder, due != "", wording.Words(due))
	s.Leak = m.leak.Verdict()
	m.alarms.Set(alarm.Leak, s.Leak.Significant, wording.Text{})
	if s.Leak.Significant {
		m.alarms.Set(alarm.Leak, true, m.leakText())
	}
	m.alarms.Set(alarm.GasLoss, false, wording.Text{})
	if m.vent.lost || m.unasked() {
		m.alarms.Set(alarm.GasLoss, true, m.lossText())
	}
	if s.Phase == phase.Vented {
		m.alarms.End(alarm.Leak)
		m.alarms.End(alarm.GasLoss)
	}
}

// noteAlarms puts newly raised alarms among the events.
func (m *Monitor) noteAlarms() {
	for i := range m.snap.Alarms {
		a := &m.snap.Alarms[i]
		if a.State == alarm.StateUnacknowledged && m.raised[a.Name] != a.SinceS+1 {
			m.raised[a.Name] = a.SinceS + 1
			m.sum.count(a)
			m.events.add(m.snap.TimeS, EventAlarm, wording.AlarmRaised(a.Level.String(), a.Name, a.Cause))
		}
	}
}
