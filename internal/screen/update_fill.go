package screen

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/wire"
)

// leafOf is the leaf that a key opens.
func leafOf(a action) (leaf, bool) {
	switch a {
	case actHelp:
		return leafHelp, true
	case actReady:
		return leafReady, true
	case actAlarms:
		return leafAlarms, true
	}
	return 0, false
}

// turn opens a leaf, turns its page, or closes it after the last.
func (m Model) turn(l leaf) Model {
	if m.help >= 0 && m.leaf != l {
		m.help = -1
	}
	m.leaf = l
	m.help++
	if _, ok := m.helpRows(m.help); !ok {
		m.help = -1
	}
	return m
}

// confirm confirms the n-th item that only a person can tell, or takes the
// confirmation back.
func (m Model) confirm(n int) Model {
	for i := range m.live.Ready {
		item := &m.live.Ready[i]
		switch {
		case !item.Hand:
		case n > 0:
			n--
		case item.State == checklist.Yes:
			return m.enter(wire.Entry{Kind: wire.EntryWithdraw, Text: item.Name}, "Taken back: "+item.Title+".")
		default:
			return m.enter(wire.Entry{Kind: wire.EntryConfirm, Text: item.Name}, "Confirmed: "+item.Title+". The same key takes it back.")
		}
	}
	return m.say("The list is gone through before a fill, while the vessel is vented.")
}

// ventSaid says that it is the operator who vents, or takes it back.
func (m Model) ventSaid() Model {
	if m.live.VentSaid {
		return m.enter(wire.Entry{Kind: wire.EntryWithdraw, Text: monitor.VentSaid}, "Taken back: that it is being vented.")
	}
	return m.enter(wire.Entry{Kind: wire.EntryConfirm, Text: monitor.VentSaid}, "Said: it is being vented. Keep your distance.")
}

// remindOf are the reminders to choose from.
var remindOf = [...]string{"re-wet from a distance", "move the shade from a distance"}

// remindEntry checks what was typed: minutes, then words if others are wanted.
// A wrong answer gives a hint and no entry.
func (p *prompt) remindEntry() (wire.Entry, bool) {
	seconds, words, err := every(strings.TrimSpace(p.text))
	if err != nil || !(seconds >= 0) {
		p.hint = "Type the minutes, such as 5, then enter. 0 ends the reminder."
		return wire.Entry{}, false
	}
	if seconds != 0 && (seconds < monitor.RemindLeastS || seconds > monitor.RemindMostS) {
		p.hint = fmt.Sprintf("Every %s to %s. Type the minutes, such as 5.", quantity.Clock(monitor.RemindLeastS), quantity.Clock(monitor.RemindMostS))
		return wire.Entry{}, false
	}
	what := strings.TrimSpace(words)
	if what == "" {
		what = remindOf[p.what]
	}
	for len(what) > wire.EntryTextMost {
		_, n := utf8.DecodeLastRuneInString(what)
		what = what[:len(what)-n]
	}
	return wire.Entry{Kind: wire.EntryRemind, Text: what, Value: int32(seconds)}, true
}

// every reads how often, and what stands behind it: "5", "5 call in", "90 s",
// "2,5min call in". A bare number counts minutes.
func every(text string) (seconds float64, words string, err error) {
	first, rest, _ := strings.Cut(text, " ")
	second, behind, _ := strings.Cut(strings.TrimSpace(rest), " ")
	if t, err := quantity.ParseSeconds(first + " " + second); second != "" && err == nil {
		return float64(t), behind, nil
	}
	if t, err := quantity.ParseSeconds(first); err == nil {
		return float64(t), rest, nil
	}
	minutes, err := quantity.ParseNumber(first)
	return minutes * 60, rest, err
}

// pinned pins the present forecast, or lets a pinned one go.
func (m Model) pinned() Model {
	if m.pin != nil {
		m.pin = nil
		return m.say("The forecast is unpinned.")
	}
	p := pinOf(&m.live)
	if p == nil {
		return m.say("There is no forecast to pin yet.")
	}
	m.pin = p
	return m.say("Forecast of " + clock(p.atS) + " pinned. f unpins it.")
}

// turnValve turns a pretended valve. How it stands is on the row of keys.
func (m Model) turnValve(a action) Model {
	refused := ""
	switch v := m.opt.Valves; a {
	case actValveOpen:
		refused = v.Open()
	case actValveClose:
		refused = v.Close()
	case actValveShut:
		refused = v.Shut()
	case actValveVent:
		if refused = v.Vent(); refused == "" && !m.live.VentSaid {
			m = m.enter(wire.Entry{Kind: wire.EntryConfirm, Text: monitor.VentSaid}, "")
		}
	}
	if refused != "" {
		return m.say(refused)
	}
	m.notice = ""
	return m
}
