package bath

import (
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/bath"
	"fillwright/internal/bench"
)

// binding ties a key to its words; the same table feeds the row of keys and
// the help.
type binding struct{ key, short, long string }

var bindings = []binding{
	{"r", "reference", "type what the reference reads"},
	{"w", "write", "write what was found into the file; a pressure zero asks back"},
	{"tab", "way", "the next way: shade, ice, steam, bath, pressure zero, span check"},
	{"a", "anew", "begin anew, in the same way"},
	{"u", "units", "units: bar and °C, psi and °F, kPa and °C"},
	{"?", "help", "this help; again or esc closes it"},
	{"q", "quit", "quit; asks first when something was found and not written"},
}

// asking is what is being typed.
type asking uint8

const (
	askNothing asking = iota
	askReference
	askRemark // and then write
	askVented // the word, for a zero
	askRetype // the reading, where gas may be trapped
	askQuit
	askDiscard // what was found, for another way
)

const typedMost = 120

// ventedWord must be typed, letter by letter, before a zero is taken.
const ventedWord = "vented"

// keyed takes a key; while something is typed the letters belong to it.
func (m Model) keyed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if msg.Type == tea.KeyCtrlC {
		return m, tea.Quit
	}
	if m.ask != askNothing {
		return m.typed(msg)
	}
	if msg.Type == tea.KeyEsc {
		m.help = false
		return m, nil
	}
	if msg.Type == tea.KeyTab {
		msg.Runes = []rune{'\t'}
	}
	var cmd tea.Cmd
	for _, r := range msg.Runes {
		m, cmd = m.press(r)
		if cmd != nil || m.ask != askNothing {
			break
		}
	}
	return m, cmd
}

// press does what a key does.
func (m Model) press(r rune) (Model, tea.Cmd) {
	m.notice = ""
	switch r {
	case 'r':
		if prompt, _ := bench.Prompt(m.view.Way); prompt == "" {
			m.notice = "this way needs no reference to be typed"
			return m, nil
		}
		m.ask, m.input = askReference, ""
	case 'w':
		return m.write(), nil
	case '\t', 'a': // no letter of the word "vented", typed too soon
		m.next = m.view.Way
		if r == '\t' {
			m.next = (m.view.Way + 1) % (bath.WaySpan + 1)
		}
		if m.unwritten() {
			m.ask = askDiscard
			return m, nil
		}
		return m.again(), nil
	case 'u':
		m.units = m.units.Next()
	case '?':
		m.help = !m.help
	case 'q':
		if m.unwritten() {
			m.ask = askQuit
			return m, nil
		}
		return m, tea.Quit
	}
	return m, nil
}

// unwritten says whether something was found that would be lost.
func (m Model) unwritten() bool {
	if !m.view.Done || m.view.Written != "" {
		return false
	}
	for i := range m.view.Results {
		if m.view.Results[i].Refused == "" {
			return true
		}
	}
	return false
}

func (m Model) again() Model {
	if err := m.feed.Again(m.next); err != nil {
		m.notice = oneLine(err)
	}
	m.view = m.feed.Latest()
	return m
}

// write begins the asking that ends in a written file.
func (m Model) write() Model {
	switch {
	case !m.view.Done:
		m.notice = "nothing to write yet: the sensors have not come to rest"
	case m.view.Asks:
		m.ask, m.input = askReference, ""
		m.notice = "first the reference:"
	case m.view.Written != "":
		m.notice = "it is written already; a begins anew"
	case m.view.Way == bath.WayZero:
		vented, _, why := m.feed.Wants()
		if !vented {
			m.notice = "the zero is not taken: " + why
			return m
		}
		m.notice = why
		m.ask, m.input = askVented, ""
	default:
		m.ask, m.input = askRemark, ""
	}
	return m
}

// typed takes a key while something is asked.
func (m Model) typed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if m.ask == askQuit || m.ask == askDiscard {
		was := m.ask
		m.ask = askNothing
		switch {
		case string(msg.Runes) != "y":
			m.notice = "nothing was lost; w writes it"
		case was == askQuit:
			return m, tea.Quit
		default:
			return m.again(), nil
		}
		return m, nil
	}
	switch msg.Type {
	case tea.KeyEsc:
		m.ask, m.input, m.consent = askNothing, "", bench.Consent{}
		m.notice = "not done"
	case tea.KeyBackspace:
		if m.input != "" {
			_, n := utf8.DecodeLastRuneInString(m.input)
			m.input = m.input[:len(m.input)-n]
		}
	case tea.KeyEnter:
		return m.entered(), nil
	case tea.KeyRunes, tea.KeySpace:
		if s := string(msg.Runes); utf8.RuneCountInString(m.input+s) <= typedMost {
			m.input += s
		}
	}
	return m, nil
}

// entered takes up what was typed.
func (m Model) entered() Model {
	input, typed := m.input, strings.TrimSpace(m.input)
	m.input, m.notice = "", ""
	was := m.ask
	m.ask = askNothing
	again := func(why string) Model { // what was typed stays, to be mended
		m.ask, m.input, m.notice = was, input, why
		m.view = m.feed.Latest()
		return m
	}
	switch was {
	case askReference:
		if err := m.feed.Refer(bench.WithUnit(m.view.Way, typed, m.units, false)); err != nil {
			return again(oneLine(err))
		}
	case askVented:
		if typed != ventedWord { // any slip ends it
			m.notice = "not done: the word is " + ventedWord
			return m
		}
		m.consent.Vented = true
		m.ask = askRemark
		if _, retype, why := m.feed.Wants(); retype {
			m.ask, m.notice = askRetype, why
		}
		return m
	case askRetype:
		m.consent.Retyped, m.ask = bench.WithUnit(m.view.Way, typed, m.units, false), askRemark
		return m
	case askRemark:
		m.consent.Remark = typed
		lines, err := m.feed.Take(m.consent)
		if err != nil && m.view.Way != bath.WayZero { // a zero is asked for anew from its first word
			return again(oneLine(err))
		}
		m.consent = bench.Consent{}
		m.notice = strings.Join(lines, "; ")
		if err != nil {
			m.notice = oneLine(err)
		}
	}
	m.view = m.feed.Latest()
	return m
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }
