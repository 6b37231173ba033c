package screen

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/screen/canvas"
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
	return m.act(actionOf(name, m.mode()))
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
		return m.say(notAsleep), nil
	case actAcknowledge:
		return m.acknowledge(), nil
	case actSurface:
		m.prompt = prompt{kind: promptSurface, station: m.prompt.station, far: underPressure(&m.live, m.live.Link.AgeS > headline.OldAfterS)}
		if m.opt.Valves != nil {
			m.prompt.touch = m.opt.Valves.Touch
		}
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
		m.look = (m.look + 1) % canvas.Looks
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
	case actValveOpen, actValveClose, actValveShut, actValveVent:
		return m.turnValve(a), nil
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

// submitted hands in what a prompt came to. One that is not taken stays as it
// was typed: enter tries again.
func (m Model) submitted(p prompt, e wire.Entry, done string) Model {
	if err := m.feed.Entry(e); err != nil {
		p.hint = "Not taken: " + err.Error() + ". Enter tries again."
		m.prompt = p
		return m
	}
	m.prompt = prompt{station: p.station}
	return m.say(done)
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
	if m.opt.Replay != nil || m.opt.Second != nil || !underPressure(&m.live, m.stale()) {
		return m, tea.Quit
	}
	m.help = -1
	hint := "The pressure is not known."
	if m.live.Seq > 0 && !m.stale() && m.live.PressurePa == m.live.PressurePa {
		hint = "The vessel is under pressure: " + m.units.Pressure(m.live.PressurePa) + "."
	}
	asked := prompt{kind: promptQuit, station: m.prompt.station, hint: hint + " Quitting ends watch and alarms."}
	if was := m.prompt; was.kind != promptNone {
		asked.under = &was
	}
	m.prompt = asked
	return m, nil
}

// answer takes a key for the open prompt.
func (m Model) answer(name string, r rune) (Model, tea.Cmd) {
	p := &m.prompt
	if p.kind == promptQuit {
		under := p.under
		if m.prompt = (prompt{station: p.station}); under != nil {
			m.prompt = *under // what was typed is not lost by a slip onto ctrl+c
		}
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
	switch p.kind {
	case promptSurface:
		if e, ok := p.surfaceEntry(m.units, &m.live, len(m.stations)); ok {
			value := m.units.Temperature(float64(e.Value)/1000 + 273.15)
			return m.submitted(p, e, "Surface "+m.stations[p.station]+" "+value+" saved. z takes it back.")
		}
	case promptRemind:
		if e, ok := p.remindEntry(); ok && e.Value == 0 {
			return m.submitted(p, e, "No more reminders: "+e.Text+".")
		} else if ok {
			return m.submitted(p, e, "Reminder every "+clock(float64(e.Value))+": "+e.Text+". It is seen with a.")
		}
	case promptTarget:
		if e, ok := p.targetEntry(m.units, m.opt.Profile); ok {
			return m.submitted(p, e, "Target "+m.units.Pressure(float64(e.Value))+" from now on.")
		}
	case promptRemark:
		if strings.TrimSpace(p.text) != "" {
			return m.submitted(p, wire.Entry{Kind: wire.EntryMark, Text: remarkText(p.mark, p.text)}, "Remark saved.")
		}
		p = prompt{station: p.station}
	}
	m.prompt = p
	return m
}

// notAsleep answers whoever wants to put the program to sleep, here or outside.
const notAsleep = "Not put to sleep: watching goes on. q quits."
