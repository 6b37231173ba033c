package monitor

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/estimate"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/recording"
	"fillwright/internal/wording"
)

// onHello notices a restarted logger, and one that is not what it was.
func (m *Monitor) onHello(h *recording.Heard) {
	board := m.play.Hello.Board
	told := wording.LoggerRestarted(m.play.Hello.Restart.String())
	if h.OtherBoard {
		// A port's name can pass to another device while the cable was out.
		told = wording.OtherOnPort
	}
	if h.Restarted {
		m.snap.Link.Restarts++
		m.lost.joined()
		m.events.add(m.snap.TimeS, EventRestart, told)
	}
	if h.Changed != "" {
		m.newLogger(h.Changed)
	} else if h.First {
		m.est.Configure(m.filterConfig()) // which offsets are in force is known by now
	}
	if h.First || h.Restarted || h.Changed != "" {
		for _, err := range h.Problems {
			m.events.add(m.snap.TimeS, EventLink, wording.Words(err.Error()))
		}
		if text := m.offsetsText(board); !text.Empty() {
			m.events.add(m.snap.TimeS, EventLink, text)
		}
		m.read()
	}
	m.snap.Link.Board, m.snap.Link.BoardKnown = board, true
	m.alarms.Set(alarm.LoggerRestart, h.Restarted, told)
}

// newLogger begins anew with another logger, or one with other channels:
// nothing that was read before says anything of what it reads. Under pressure
// somebody has to accept it first, since a pressure by another scale is
// another pressure.
func (m *Monitor) newLogger(what string) {
	s := &m.snap
	m.events.add(s.TimeS, EventRestart, wording.LoggerChanged(what))
	under := s.Phase > phase.Vented || s.Phase == phase.Unknown && m.play.Time.Started() && !(s.PressurePa <= underPa)
	if under && math.IsNaN(m.trust.changedS) {
		m.trust.changedS = s.TimeS
	}
	m.trust.changed, m.trust.news = what, true
	m.est = estimate.NewTracker(m.filterConfig(), float64(m.cfg.Profile.AmbientPressure))
	m.beginLeak()
	m.ahead.planner.Forget()
	m.withdraw()
	m.ahead.advice.Reason = wording.LoggerFromTheNew
}

// onSample takes a reading of every channel in.
func (m *Monitor) onSample(h *recording.Heard) {
	m.snap.TimeS = m.play.Time.NowS() // samples that a stall held up are older than the silence told before them
	m.snap.Link.Up = true
	m.snap.Link.SampleHz = m.play.Time.Hz()
	if !h.Fresh {
		m.grow()
		return
	}
	m.read()
	if m.est.Add(h.TimeS, &m.sample, m.flows()) {
		m.advance()
	}
}

// onArrival lets the host's time pass, and tells whether that is to be judged
// now: while readings are young the next one does it.
func (m *Monitor) onArrival() bool {
	m.snap.TimeS = m.play.Time.NowS()
	m.freshen()
	if m.snap.Link.AgeS < probe.StaleDefaultS/2 && m.snap.TimeS-m.trust.judgedS < judgeEveryS {
		return false
	}
	m.trust.judgedS = m.snap.TimeS
	if m.snap.Link.AgeS > m.play.Bank.StaleS {
		m.grow()
	}
	return true
}

// grow lets the readings grow older.
func (m *Monitor) grow() {
	m.play.Bank.Advance(m.snap.TimeS)
	m.read()
}
