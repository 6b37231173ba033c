package monitor

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/clock"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// trust is what is remembered of whether readings can be believed and dated.
// Fresh is only what moved a trustworthy pressure or gas reading; whatever
// else a logger sends makes nothing fresh.
type trust struct {
	changedS                float64 // session time since when the logger is another one that nobody has accepted, NaN: it is not
	changed                 string  // what has changed
	news                    bool    // … at this input
	blindS                  float64 // session time since which a fill is blind, NaN: it is not
	fault                   clock.Fault
	toldS                   float64 // when a fault of the clock was last told
	judgedS                 float64 // session time of the last judgement
	pressureGoneS, gasGoneS float64 // when no pressure, or no gas temperature, was there last

	filled bool // it was filling when the pressure could be trusted last, or seems to since
}

func newTrust() trust {
	return trust{changedS: math.NaN(), blindS: math.NaN(), toldS: math.Inf(-1), judgedS: math.Inf(-1), pressureGoneS: math.Inf(-1), gasGoneS: math.Inf(-1)}
}

const (
	faultEveryS = 10.0 // between two events of the same fault
	judgeEveryS = 0.2  // while nothing but the host's clock comes and readings are young
)

// newest is the session time of the newest good reading in a role, NaN if
// there was none, and whether one is good now.
func (s *Snapshot) newest(role vessel.Role) (timeS float64, good bool) {
	timeS = math.NaN()
	for i := range s.Sensors {
		r := &s.Sensors[i]
		if r.Role != role || math.IsNaN(r.TimeS) {
			continue
		}
		if !(timeS >= r.TimeS) {
			timeS = r.TimeS
		}
		good = good || r.Health == probe.HealthGood
	}
	return timeS, good
}

// freshen counts the age of the oldest reading that an order rests on: of
// pressure and gas, as far as they are good, else of what was good last. A
// reading that can't be dated is as old as the last that could.
func (m *Monitor) freshen() {
	s := &m.snap
	if !m.play.Time.Started() {
		return
	}
	p, pGood := m.snap.newest(vessel.RolePressure)
	g, gGood := m.snap.newest(vessel.RoleGas)
	restsS := 0.0 // since the first sample
	switch {
	case pGood && gGood:
		restsS = math.Min(p, g)
	case pGood:
		restsS = p
	case gGood:
		restsS = g
	default:
		restsS = math.Max(orZero(p), orZero(g))
	}
	for _, since := range []float64{m.play.Time.UnsureS(), m.trust.changedS} {
		if since < restsS { // not for NaN
			restsS = since
		}
	}
	s.Link.AgeS = math.Max(0, s.TimeS-restsS)
}

func orZero(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}

// old tells whether the readings are too old to go by.
func (m *Monitor) old() bool {
	return m.play.Time.Started() && m.snap.Link.AgeS > m.play.StaleAfterS()
}

// trusted tells whether readings can be dated and are of the logger that was
// there before, or of one that somebody has accepted.
func (m *Monitor) trusted() bool {
	return math.IsNaN(m.play.Time.UnsureS()) && math.IsNaN(m.trust.changedS)
}

// trustedS is the session time of the last moment at which pressure and gas
// could be trusted, no earlier than the phase under way.
func (m *Monitor) trustedS() float64 {
	at := m.snap.TimeS
	p, _ := m.snap.newest(vessel.RolePressure)
	g, _ := m.snap.newest(vessel.RoleGas)
	for _, t := range []float64{p, g, m.play.Time.UnsureS(), m.trust.changedS} {
		if t < at { // not for NaN
			at = t
		}
	}
	return math.Max(at, m.snap.PhaseSince)
}

// countBlind counts since when a fill goes on without trustworthy pressure and
// gas temperature. That it is over is not believed of a pressure that can't be
// trusted.
func (m *Monitor) countBlind(stale bool) {
	sees := !stale && m.trusted() && m.snap.sensor(vessel.RolePressure)
	filling := m.snap.Phase == phase.Filling
	m.trust.filled = filling || !sees && m.trust.filled
	switch {
	case sees && m.snap.sensor(vessel.RoleGas) || !m.trust.filled:
		m.trust.blindS = math.NaN()
	case math.IsNaN(m.trust.blindS):
		m.trust.blindS = m.trustedS()
	}
}

// allIll tells that neither pressure nor gas is missing for want of data: each
// sensor has something wrong with itself.
func (m *Monitor) allIll() bool {
	if !m.trusted() {
		return false
	}
	for i := range m.snap.Sensors {
		r := &m.snap.Sensors[i]
		if r.Role != vessel.RolePressure && r.Role != vessel.RoleGas {
			continue
		}
		switch r.Health {
		case probe.HealthGood, probe.HealthStale, probe.HealthUnknown:
			return false
		}
	}
	return true
}

// distrust is why the logger itself can't be believed, empty if it can.
func (m *Monitor) distrust() wording.Text {
	if !math.IsNaN(m.trust.changedS) {
		return wording.OtherLogger(m.trust.changed)
	}
	return wording.Words(m.trust.fault.Text(m.troubleSize()))
}

func (m *Monitor) troubleSize() float64 {
	_, size := m.play.Time.Trouble()
	return size
}

// judgeLogger raises what is wrong with the logger as a whole.
func (m *Monitor) judgeLogger() {
	fault, size := m.play.Time.Trouble()
	if now := m.snap.TimeS; fault != clock.FaultNone && (fault != m.trust.fault || now-m.trust.toldS >= faultEveryS) {
		if fault != m.trust.fault {
			m.events.add(now, EventLink, wording.Words(fault.Text(size)))
		}
		m.trust.toldS = now
	}
	m.trust.fault = fault
	m.alarms.Set(alarm.LoggerIll, fault != clock.FaultNone, wording.Words(fault.Text(size)))
	m.alarms.Set(alarm.LoggerChanged, m.trust.news || !math.IsNaN(m.trust.changedS), wording.Words(m.trust.changed))
	m.trust.news = false
}

// acceptLogger takes another logger for good once the operator has accepted
// its alarm.
func (m *Monitor) acceptLogger() {
	if math.IsNaN(m.trust.changedS) {
		return
	}
	for i := range m.snap.Alarms {
		if a := &m.snap.Alarms[i]; a.Name == alarm.LoggerChanged && a.State == alarm.StateAcknowledged {
			m.trust.changedS = math.NaN()
			m.events.add(m.snap.TimeS, EventLink, wording.LoggerAccepted)
			m.freshen()
			return
		}
	}
}
