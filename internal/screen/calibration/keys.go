package calibration

import (
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/calibrate"
	"fillwright/internal/calibrate/run"
)

// bindings tie a key to its words; the same table feeds the row of keys and
// the help.
var bindings = []struct{ key, short, long string }{
	{"r", "reference", "type what the reference reads"},
	{"w", "write", "write what was found into the file; a pressure zero asks back"},
	{"tab", "method", "the next method: shade, ice, steam, bath, pressure zero, span check"},
	{"a", "anew", "begin anew, with the same method"},
	{"u", "units", "units: bar and °C, psi and °F, kPa and °C"},
	{"?", "help", "this help; again or esc closes it"},
	{"q", "quit", "quit; asks first when something was found and not written"},
}

// asking is what is being asked.
type asking uint8

const (
	askNothing asking = iota
	askReference
	askRemark  // and then write
	askVented  // the word, for a zero
	askRetype  // the reading, where gas may be trapped
	askQuit    // y quits
	askDiscard // y begins anew
)

const typedMost = 120

// ventedWord must be typed, letter by letter, before a zero is taken.
const ventedWord = "vented"

// keyed takes a key; while something is asked the letters belong to it.
func (m Model) keyed(msg tea.KeyMsg) (Model, tea.Cmd) {
	var cmd tea.Cmd
	switch {
	case msg.Type == tea.KeyCtrlC:
		return m, tea.Quit
	case m.ask == askQuit || m.ask == askDiscard:
		return m.answered(string(msg.Runes) == "y")
	case m.ask != askNothing:
		return m.typed(msg), nil
	case msg.Type == tea.KeyEsc:
		m.help = false
	case msg.Type == tea.KeyTab:
		return m.press('\t')
	}
	for _, r := range msg.Runes {
		if m, cmd = m.press(r); cmd != nil || m.ask != askNothing {
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
		if prompt, _ := m.view.Method.Asks(); prompt == "" {
			m.notice = "this method needs no reference to be typed"
			return m, nil
		}
		m.ask, m.input = askReference, ""
	case 'w':
		return m.write(), nil
	case '\t', 'a': // no letter of the word "vented", typed too soon
		m.method = m.view.Method
		if r == '\t' {
			m.method = m.method.Next()
		}
		if !m.unwritten() {
			return m.again(), nil
		}
		m.ask = askDiscard
	case 'u':
		m.units = m.units.Next()
	case '?':
		m.help = !m.help
	case 'q':
		if !m.unwritten() {
			return m, tea.Quit
		}
		m.ask = askQuit
	}
	return m, nil
}

// unwritten says whether something was found that would be lost.
func (m Model) unwritten() bool {
	for i := range m.view.Results {
		if m.view.Results[i].Refused == "" {
			return m.view.Written == ""
		}
	}
	return false
}

// answered goes on after a question that a y answers.
func (m Model) answered(yes bool) (Model, tea.Cmd) {
	was := m.ask
	m.ask = askNothing
	switch {
	case !yes:
		m.notice = "nothing was lost; w writes it"
	case was == askQuit:
		return m, tea.Quit
	default:
		m = m.again()
	}
	return m, nil
}

func (m Model) again() Model {
	if err := m.feed.Again(m.method); err != nil {
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
		m.ask, m.input, m.notice = askReference, "", "first the reference:"
	case m.view.Written != "":
		m.notice = "it is written already; a begins anew"
	case m.view.Method == calibrate.MethodZero:
		vented, _, why := m.feed.Wants()
		if !vented {
			m.notice = "the zero is not taken: " + why
			return m
		}
		m.ask, m.input, m.notice = askVented, "", why
	default:
		m.ask, m.input = askRemark, ""
	}
	return m
}

// typed takes a key while something is to be typed.
func (m Model) typed(msg tea.KeyMsg) Model {
	switch msg.Type {
	case tea.KeyEsc:
		m.ask, m.input, m.consent, m.notice = askNothing, "", run.Consent{}, "not done"
	case tea.KeyBackspace:
		_, n := utf8.DecodeLastRuneInString(m.input)
		m.input = m.input[:len(m.input)-n]
	case tea.KeyEnter:
		return m.entered()
	case tea.KeyRunes, tea.KeySpace:
		if s := string(msg.Runes); utf8.RuneCountInString(m.input+s) <= typedMost {
			m.input += s
		}
	}
	return m
}

// entered takes up what was typed. What is refused stays, to be mended.
func (m Model) entered() Model {
	input, typed, was := m.input, strings.TrimSpace(m.input), m.ask
	m.input, m.notice, m.ask = "", "", askNothing
	var err error
	switch was {
	case askReference:
		err = m.feed.Refer(calibrate.WithUnit(m.view.Method, typed, m.units, false))
	case askVented:
		if typed != ventedWord { // any slip ends it
			m.notice = "not done: the word is " + ventedWord
			return m
		}
		m.consent.Vented, m.ask = true, askRemark
		if _, retype, why := m.feed.Wants(); retype {
			m.ask, m.notice = askRetype, why
		}
	case askRetype:
		m.consent.Retyped, m.ask = calibrate.WithUnit(m.view.Method, typed, m.units, false), askRemark
	case askRemark:
		m.consent.Remark = typed
		if m.notice, err = m.feed.Take(m.consent); err == nil || m.view.Method == calibrate.MethodZero {
			m.consent, was, input = run.Consent{}, askNothing, "" // a zero is asked for anew from its first word
		}
	}
	if err != nil {
		m.ask, m.input, m.notice = was, input, oneLine(err)
	}
	m.view = m.feed.Latest()
	return m
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }
