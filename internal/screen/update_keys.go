package screen

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// noticeFor is how long a notice stands.
const noticeFor = 5 * time.Second

// keyed takes a key message apart: runes that were read together are keys of
// their own.
func (m Model) keyed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if msg.Type != tea.KeyRunes || msg.Alt {
		return m.key(msg.String(), 0)
	}
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		var cmd tea.Cmd
		m, cmd = m.key(string(r), r)
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// key takes one key: its name as Bubble Tea has it, and its rune if it is one.
func (m Model) key(name string, r rune) (Model, tea.Cmd) {
	if name == " " {
		r = ' '
	}
	if m.prompt.kind != promptNone {
		return m.answer(name, r)
	}
	if name == "esc" {
		m.help, m.notice = -1, ""
		return m, nil
	}
	return m.act(actionOf(name, m.opt.Replay != nil))
}

// act does what a key stands for.
func (m Model) act(a action) (Model, tea.Cmd) {
	if l, ok := leafOf(a); ok {
		return m.turn(l), nil
	}
	if m.help >= 0 && (a < actConfirm1 || a > actConfirm3) { // the list may be gone through while it is open
		m.help = -1
	}
	switch a {
	case actQuit:
		return m.quit()
	case actSuspend:
		return m.say("Not put to sleep: watching goes on. q quits."), nil
	case actAcknowledge:
		return m.acknowledge(), nil
	case actSurface:
		m.prompt = prompt{kind: promptSurface, station: m.prompt.station, far: underPressure(&m.live, m.live.Link.AgeS > oldAfterS)}
	case actUndo:
		return m.enter(wire.Entry{Kind: wire.EntryUndo}, "The last surface reading was taken back."), nil
	case actMark:
		return m.mark(), nil
	case actVentSaid:
		return m.ventSaid(), nil
	case actSecondLook:
		return m.enter(wire.Entry{Kind: wire.EntryWithdraw, Text: monitor.SecondLook}, "A second look for the leak has begun. It stands until that ends."), nil
	case actUnits:
		m.units = m.units.Next()
		return m.say("Units: " + m.units.String()), nil
	case actWindow:
		m.window = (m.window + 1) % len(windowsS)
		return m.say("The chart shows the last " + clock(windowsS[m.window])), nil
	case actLook:
		m.look = (m.look + 1) % lookCount
		return m.say("Look: " + m.look.String()), nil
	case actPause:
		return m.pause(), nil
	case actPlay, actStep, actSlower, actFaster, actNext:
		return m.control(a), nil
	case actConfirm1, actConfirm2, actConfirm3:
		return m.confirm(int(a - actConfirm1)), nil
	case actRemind:
		m.prompt = prompt{kind: promptRemind, station: m.prompt.station}
	case actTarget:
		m.prompt = prompt{kind: promptTarget, station: m.prompt.station}
	case actPin:
		return m.pinned(), nil
	case actRedraw:
		m.redraws++
	}
	return m, nil
}

// say shows a passing notice.
func (m Model) say(text string) Model {
	m.notice, m.noticeTill = text, m.clock.Add(noticeFor)
	return m
}

// enter hands an entry in, and says what became of it.
func (m Model) enter(e wire.Entry, done string) Model {
	if err := m.feed.Entry(e); err != nil {
		return m.say("Not taken: " + err.Error())
	}
	return m.say(done)
}

// acknowledge accepts every alarm that stands.
func (m Model) acknowledge() Model {
	for i := range m.live.Alarms {
		if st := m.live.Alarms[i].State; st == alarm.StateUnacknowledged || st == alarm.StateReturned || st == alarm.StateLatched {
			return m.enter(wire.Entry{Kind: wire.EntryAcknowledge}, "Alarms seen. They stay while they last.")
		}
	}
	return m.say("No alarm waits to be seen.")
}

// mark saves the moment at once; the remark may follow.
func (m Model) mark() Model {
	n := m.marks + 1
	if err := m.feed.Entry(wire.Entry{Kind: wire.EntryMark, Text: remarkText(n, "")}); err != nil {
		return m.say("Not taken: " + err.Error())
	}
	m.marks = n
	m.prompt = prompt{kind: promptRemark, mark: n}
	return m
}

// pause freezes the picture; verdict, reason and alarms stay live.
func (m Model) pause() Model {
	m.paused = !m.paused
	if m.paused {
		m.frozen = m.live
		return m.say("Picture paused; the watch, the verdict and the alarms go on. p again.")
	}
	return m.say("The picture is live again.")
}

// control drives the replay.
func (m Model) control(a action) Model {
	const slowest, fastest = 0.125, 1024
	c := m.opt.Replay
	if c == nil {
		return m
	}
	p := c.Position()
	switch a {
	case actPlay:
		c.Pause(!p.Paused)
	case actStep:
		c.Pause(true)
		c.Step()
	case actNext:
		c.Next()
		return m.say("On to the next event.")
	case actSlower:
		c.Speed(max(min(p.Speed, 2*fastest)/2, slowest))
	case actFaster:
		c.Speed(min(p.Speed*2, fastest))
	}
	return m
}

// quit ends the program; over a vessel under pressure it asks first.
func (m Model) quit() (Model, tea.Cmd) {
	if m.opt.Replay != nil || !underPressure(&m.live, m.stale()) {
		return m, tea.Quit
	}
	m.help = -1
	hint := "The pressure is not known."
	if m.live.Seq > 0 && !m.stale() && m.live.PressurePa == m.live.PressurePa {
		hint = "The vessel is under pressure: " + m.units.Pressure(m.live.PressurePa) + "."
	}
	m.prompt = prompt{kind: promptQuit, station: m.prompt.station, hint: hint + " Quitting ends watch and alarms."}
	return m, nil
}

// answer takes a key for the open prompt.
func (m Model) answer(name string, r rune) (Model, tea.Cmd) {
	p := &m.prompt
	if p.kind == promptQuit {
		m.prompt = prompt{station: p.station}
		if name == "y" || name == "Y" {
			return m, tea.Quit
		}
		return m, nil
	}
	switch name {
	case "esc":
		m.prompt = prompt{station: p.station}
	case "ctrl+c":
		return m.quit()
	case "enter":
		return m.submit(), nil
	case "backspace", "ctrl+h":
		p.rubOut()
	case "tab", "down", "right":
		p.turn(1, len(m.stations))
	case "shift+tab", "up", "left":
		p.turn(-1, len(m.stations))
	default:
		if r != 0 {
			p.typed(r)
		}
	}
	return m, nil
}

// turn chooses what is d further, in a circle: a station, or a reminder.
func (p *prompt) turn(d, stations int) {
	switch {
	case p.kind == promptRemind:
		p.what = (p.what + d + len(remindOf)) % len(remindOf)
	case stations > 0:
		p.station = (p.station + d + stations) % stations
	}
}

// submit takes the answer to a prompt.
func (m Model) submit() Model {
	p := m.prompt
	done := prompt{station: p.station}
	switch p.kind {
	case promptSurface:
		e, ok := p.surfaceEntry(m.units, &m.live, len(m.stations))
		if !ok {
			m.prompt = p
			return m
		}
		m.prompt = done
		value := m.units.Temperature(float64(e.Value)/1000 + 273.15)
		return m.enter(e, "Surface "+m.stations[p.station]+" "+value+" saved. z takes it back.")
	case promptRemind:
		e, ok := p.remindEntry()
		if !ok {
			m.prompt = p
			return m
		}
		m.prompt = done
		if e.Value == 0 {
			return m.enter(e, "No more reminders: "+e.Text+".")
		}
		return m.enter(e, "Reminder every "+clock(float64(e.Value))+": "+e.Text+". It is seen with a.")
	case promptTarget:
		e, ok := p.targetEntry(m.units, m.opt.Profile)
		if !ok {
			m.prompt = p
			return m
		}
		m.prompt = done
		return m.enter(e, "Target "+m.units.Pressure(float64(e.Value))+" from now on.")
	case promptRemark:
		m.prompt = done
		if strings.TrimSpace(p.text) == "" {
			return m
		}
		return m.enter(wire.Entry{Kind: wire.EntryMark, Text: remarkText(p.mark, p.text)}, "Remark saved.")
	}
	m.prompt = done
	return m
}
