package monitor

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

const (
	blindAfterS = 3.0   // a fill without trustworthy readings for so long is blind
	underPa     = 0.5e5 // above this the vessel is under pressure
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

// raise sets an alarm's condition; the words are only made when they are
// needed.
func (m *Monitor) raise(name string, present bool, format string, args ...float64) {
	if !present {
		m.alarms.Set(name, false, "")
		return
	}
	m.alarms.Set(name, true, words(format, args))
}

// above raises a pressure alarm by a value, with the table's dead-band.
func (m *Monitor) above(name string, value, on float64, format string, args ...float64) {
	m.alarms.SetAbove(name, value, on, m.near(value >= 0.9*on, format, args))
}

// near makes words when the value is near enough that they may be needed.
func (m *Monitor) near(is bool, format string, args []float64) string {
	if !is {
		return ""
	}
	return words(format, args)
}

func words(format string, args []float64) string {
	a := make([]any, len(args))
	for i, v := range args {
		a[i] = v
	}
	return fmt.Sprintf(format, a...)
}

// sensor tells whether any sensor in a role is good.
func (m *Monitor) sensor(role vessel.Role) bool {
	for i := range m.snap.Sensors {
		if r := &m.snap.Sensors[i]; r.Role == role && r.Health == probe.HealthGood {
			return true
		}
	}
	return false
}

func (m *Monitor) judgeData() {
	s := &m.snap
	stale := m.old()
	m.raise(alarm.DataStale, stale && m.distrust() == "" && !m.allIll(), "no reading for %.0f s", s.Link.AgeS)
	m.countBlind(stale)
	blind := s.TimeS-m.blindS >= blindAfterS-1e-9
	m.raise(alarm.Blind, blind, "filling without trustworthy "+m.missing(stale))
	m.judgeLogger()
	ill := m.illSensor(stale)
	m.alarms.Set(alarm.SensorIll, ill != "", ill+m.goOnBy(ill))
	unsettled := m.unsettledText()
	m.alarms.Set(alarm.Unsettled, unsettled != "", unsettled)
	m.raise(alarm.LogLost, s.Link.LogFailed, "the run log can't be written")
}

// illSensor names the first sensor that can't be trusted; a dead cable is not
// every sensor's fault.
func (m *Monitor) illSensor(stale bool) string {
	for i := range m.snap.Sensors {
		r := &m.snap.Sensors[i]
		what := r.Health
		if what == probe.HealthGood && r.Doubt != probe.HealthUnknown {
			what = r.Doubt
		}
		if what == probe.HealthGood || what == probe.HealthUnknown || (stale && r.Health == probe.HealthStale) {
			continue
		}
		name := string(r.Role)
		if r.Station != "" {
			name += " " + r.Station
		}
		return fmt.Sprintf("channel %d, %s: %s", r.Channel, name, what)
	}
	return ""
}

// goOnBy names the wall sensor that is left while another one is ill.
func (m *Monitor) goOnBy(ill string) string {
	if !strings.Contains(ill, ", "+string(vessel.RoleWall)) {
		return ""
	}
	for i := range m.snap.Sensors {
		r := &m.snap.Sensors[i]
		if r.Role == vessel.RoleWall && r.Health == probe.HealthGood && r.Doubt == probe.HealthUnknown && r.Station != "" {
			return "; going by the " + r.Station + " sensor"
		}
	}
	return ""
}

func (m *Monitor) missing(stale bool) string {
	switch {
	case m.distrust() != "":
		return "data: " + m.distrust()
	case stale && !m.allIll():
		return "data"
	case !m.sensor(vessel.RolePressure):
		return "pressure"
	}
	return "gas temperature"
}

func (m *Monitor) judgePressure() {
	s, v := &m.snap, m.cfg.Profile
	limit := float64(v.Limits.Pressure)
	p := s.PressurePa
	text, args := "%.1f bar, vessel limit %.1f bar", []float64{p / 1e5, limit / 1e5}
	if m.zeroPa >= zeroSaidPa {
		text, args = "%.1f ± %.1f bar, vessel limit %.1f bar", []float64{p / 1e5, m.zeroPa / 1e5, limit / 1e5}
	}
	m.above(alarm.PressureOver, m.pressureUpPa(), limit, text, args...)
	m.above(alarm.PressureNear, m.pressureUpPa(), nearShare*limit, text, args...)
	m.raise(alarm.TargetReached, s.Phase == PhaseFilling && m.pressureUpPa() >= advise.TargetNearShare*m.targetPa, "%.1f bar", p/1e5)
	if s.Phase == PhaseFilling && math.IsNaN(s.RampPaS) {
		return // a ramp that is not known clears no alarm
	}
	high, told := m.judgeRamp()
	m.alarms.Set(alarm.RampHigh, high, told)
}

func (m *Monitor) judgeWall() {
	s, v := &m.snap, m.cfg.Profile
	onset := float64(v.Resin.Onset)
	const hot = "hottest %.1f ± %.1f °C, onset %.1f °C"
	hottest, bandK, onsetC := s.HottestK-273.15, s.BandK, onset-273.15
	under := s.Phase > PhaseVented || m.pressureUpPa() > underPa
	m.alarms.SetBelow(alarm.WallMargin, s.MarginK, marginOnK, m.near(s.MarginK <= marginOnK+2, hot, []float64{hottest, bandK, onsetC}))
	over := math.NaN()
	if under {
		over = s.MarginK
	} else {
		m.alarms.Set(alarm.WallOver, false, "")
	}
	m.alarms.SetBelow(alarm.WallOver, over, 0, m.near(s.MarginK <= 2, hot, []float64{hottest, bandK, onsetC}))
	const late = "stopping later would take the wall to the onset"
	if math.IsNaN(s.MarginK) {
		m.raise(alarm.WallAbort, m.tooLate, late)
	} else {
		m.raise(alarm.WallAbort, m.tooLate, late+"; "+hot, hottest, bandK, onsetC)
	}
	o := &s.Outlook
	vent := s.Phase > PhaseVented && !(s.PressurePa <= ventWorthPa) && s.Phase != PhaseVenting && o.CoastPeakK+o.CoastPeakBandK >= onset
	switch {
	case vent:
		m.raise(alarm.VentAdvised, true, "with the supply shut the wall may still reach %.1f °C, onset %.1f °C", o.CoastPeakK-273.15+o.CoastPeakBandK, onsetC)
	case m.reached:
		m.alarms.Set(alarm.VentAdvised, true, m.reachedText())
	case s.Phase == PhaseVented || !math.IsNaN(o.CoastPeakK): // not knowing clears no alarm
		m.alarms.Set(alarm.VentAdvised, false, "")
	}
	m.raise(alarm.HoldLimit, s.Phase == PhaseHolding && o.HoldLimitS < holdSoonS, "the vessel may stay full %.0f s more", o.HoldLimitS)
	m.judgeSides(under)
	m.alarms.Set(alarm.OutsideModel, s.Model.Widened != "", s.Model.Widened)
}

func (m *Monitor) judgeRest() {
	s := &m.snap
	cold := float64(m.cfg.Profile.Limits.GasCold)
	m.alarms.SetBelow(alarm.GasCold, s.GasK, cold, m.near(s.GasK <= cold+5, "gas %.0f °C", []float64{s.GasK - 273.15}))
	due := m.due()
	m.alarms.Set(alarm.Reminder, due != "", due)
	m.tellLeak()
	m.alarms.Set(alarm.Leak, s.Leak.Significant, "")
	if s.Leak.Significant {
		m.alarms.Set(alarm.Leak, true, m.leakText())
	}
	m.alarms.Set(alarm.GasLoss, false, "")
	if m.vent.lost || m.unasked() {
		m.alarms.Set(alarm.GasLoss, true, m.lossText())
	}
}

// noteAlarms puts newly raised alarms among the events.
func (m *Monitor) noteAlarms() {
	for i := range m.snap.Alarms {
		a := &m.snap.Alarms[i]
		if a.State == alarm.StateUnacknowledged && m.raised[a.Name] != a.SinceS+1 {
			m.raised[a.Name] = a.SinceS + 1
			m.sum.count(a)
			m.events.add(m.snap.TimeS, EventAlarm, fmt.Sprintf("%s %s: %s", a.Level, a.Name, a.Cause))
		}
	}
}
