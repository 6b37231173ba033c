package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/observe"
	"fillwright/internal/wire"
)

// onHello binds the channels and notices a restarted logger, and one that is
// not what it was.
func (m *Monitor) onHello(body []byte) {
	var h wire.Hello
	if err := wire.ParseHello(body, &h); err != nil {
		return
	}
	known := m.snap.Link.BoardKnown
	restarted := known && (h.Boot != m.hello.Boot || h.Board != m.hello.Board)
	changed := ""
	if known {
		changed = changes(&m.hello, &h)
	}
	told := "the logger has started again: " + h.Restart.String()
	if restarted && h.Board != m.hello.Board {
		// A port's name can pass to another device while the cable was out.
		told = "another logger answers on this port: check that it is this vessel's"
	}
	if restarted {
		m.snap.Link.Restarts++
		m.clock.Restart()
		m.lost.joined()
		m.events.add(m.snap.TimeS, EventRestart, told)
	}
	m.hello = h
	if changed != "" {
		m.newLogger(changed)
	} else if !known {
		m.obs = observe.New(m.observeConfig()) // which offsets are in force is known by now
	}
	if !known || restarted || changed != "" {
		for _, err := range m.bank.Hello(&h) {
			m.events.add(m.snap.TimeS, EventLink, err.Error())
		}
		if text := m.offsetsText(h.Board); text != "" {
			m.events.add(m.snap.TimeS, EventLink, text)
		}
		m.read()
	}
	m.snap.Link.Board, m.snap.Link.BoardKnown = h.Board, true
	m.alarms.Set(alarm.LoggerRestart, restarted, told)
}

// changes says in words what makes a hello that of another logger; empty when
// it is the same, restarted or not.
func changes(was, is *wire.Hello) string {
	if was.Board != is.Board {
		return fmt.Sprintf("its number is %x, was %x", is.Board, was.Board)
	}
	if was.N != is.N {
		return fmt.Sprintf("it has %d channels, had %d", is.N, was.N)
	}
	for i := range is.N {
		a, b := &was.Channels[i], &is.Channels[i]
		switch {
		case a.Index != b.Index:
			return fmt.Sprintf("channel %d stands where channel %d stood", b.Index, a.Index)
		case a.Kind != b.Kind:
			return fmt.Sprintf("channel %d sends %s, sent %s", b.Index, b.Kind, a.Kind)
		case a.Scale != b.Scale:
			return fmt.Sprintf("full scale of channel %d is %d, was %d", b.Index, b.Scale, a.Scale)
		case a.Label != b.Label:
			return fmt.Sprintf("channel %d is called %s, was %s", b.Index, b.Label, a.Label)
		}
	}
	return ""
}

// newLogger begins anew with another logger, or one with other channels:
// nothing that was read before says anything of what it reads. Under pressure
// somebody has to accept it first, since a pressure by another scale is
// another pressure.
func (m *Monitor) newLogger(what string) {
	s := &m.snap
	m.events.add(s.TimeS, EventRestart, "the logger has changed: "+what+"; it is judged from the start")
	under := s.Phase > PhaseVented || s.Phase == PhaseUnknown && m.clock.Started() && !(s.PressurePa <= underPa)
	if under && math.IsNaN(m.trust.changedS) {
		m.trust.changedS = s.TimeS
	}
	m.trust.changed, m.trust.news = what, true
	m.bank.Forget()
	m.obs = observe.New(m.observeConfig())
	m.slope, m.bead, m.flow, m.ramp, m.block, m.last, m.undo, m.supply = slope{}, slope{}, flowWatch{}, fitted{}, block{}, lastDrive{}, undo{}, supplied{}
	m.leak.restart(s.TimeS)
	s.Leak = unknownLeak()
	m.planner.Forget()
	m.withdraw()
	m.advice.Reason = "another logger: it is judged from the start"
}

// onSample takes a reading of every channel in. One that does not fit the
// hello, or whose time is not later than the last one's, says nothing.
func (m *Monitor) onSample(body []byte) {
	var s wire.Sample
	if err := wire.ParseSample(body, &s); err != nil {
		return
	}
	t, fresh := m.clock.Sample(s.TimeMS, m.periodMS())
	m.snap.TimeS = m.clock.NowS() // samples that a stall held up are older than the silence told before them
	m.snap.Link.Up = true
	m.snap.Link.SampleHz = m.clock.Hz()
	m.bank.StaleS = m.staleAfterS()
	if !fresh || m.snap.Link.BoardKnown && s.N != m.hello.N {
		m.grow()
		return
	}
	m.bank.Sample(&s, t)
	m.read()
	m.supply.add()
	if m.block.take(t, m.blockS(), &m.snap, m.skinAt[:len(m.snap.Stations)]) {
		if out := &m.block.out; !math.IsNaN(out.beadK) {
			m.bead.add(out.timeS, out.beadK)
		}
		m.advance()
	}
}

// onSilence lets time pass without readings, where the host has not told the
// time otherwise.
func (m *Monitor) onSilence(body []byte) {
	var v wire.Silence
	if err := wire.ParseSilence(body, &v); err != nil {
		return
	}
	m.clock.Silence(v.AgeMS)
	m.snap.TimeS = m.clock.NowS()
	m.grow()
}

// onArrival lets the host's time pass, and tells whether that is to be judged
// now: while readings are young the next one does it.
func (m *Monitor) onArrival(body []byte) bool {
	var v wire.Arrival
	if err := wire.ParseArrival(body, &v); err != nil {
		return false
	}
	m.clock.Arrival(v.HostMS)
	m.snap.TimeS = m.clock.NowS()
	m.freshen()
	if m.snap.Link.AgeS < staleS/2 && m.snap.TimeS-m.trust.judgedS < judgeEveryS {
		return false
	}
	m.trust.judgedS = m.snap.TimeS
	if m.snap.Link.AgeS > m.bank.StaleS {
		m.grow()
	}
	return true
}

// grow lets the readings grow older.
func (m *Monitor) grow() {
	m.bank.Advance(m.snap.TimeS)
	m.read()
}
