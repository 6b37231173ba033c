package planning

import (
	"slices"
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/plan"
	"fillwright/internal/screen/canvas"
)

// binding ties a key to its words; the same table feeds the row of keys and the
// help.
type binding struct{ key, short, long string }

// bindings, in the order in which they stand in the row of keys as far as it goes.
var bindings = []binding{
	{"arrows", "set", "up, down: choose; left, right: change by a step"},
	{"enter", "type", "type a value with its unit; enter takes it"},
	{"1-0", "remedy", "put that remedy in place, or take it away again"},
	{"r", "rest", "the rest of the remedies, where not all have room"},
	{"?", "help", "this help; again or esc closes it"},
	{"q", "quit", "quit; --out and --card keep the day, no remedies"},
	{"u", "units", "units: bar and °C, psi and °F, kPa and °C"},
	{"del", "unsay", "forget what was said of it: then it is taken wide"},
	{"l", "look", "look: plain, sun, night"},
}

// keyed takes a key; while something is typed the letters belong to it.
func (m Model) keyed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if msg.Type == tea.KeyCtrlC {
		return m, tea.Quit
	}
	if m.typing {
		return m.typed(msg)
	}
	m.notice = ""
	switch msg.Type {
	case tea.KeyUp:
		m.at = (m.at + len(m.fields) - 1) % len(m.fields)
	case tea.KeyDown:
		m.at = (m.at + 1) % len(m.fields)
	case tea.KeyLeft:
		return m.step(-1)
	case tea.KeyRight:
		return m.step(1)
	case tea.KeyEnter:
		m.typing, m.input = true, ""
	case tea.KeyBackspace, tea.KeyDelete:
		return m.forget()
	case tea.KeyPgDown:
		m.page++
	case tea.KeyPgUp:
		m.page = max(m.page-1, 0)
	case tea.KeyEsc:
		m.help = false
	case tea.KeyRunes:
		for _, r := range msg.Runes {
			next, cmd := m.press(r)
			if m = next; cmd != nil {
				return m, cmd
			}
		}
	}
	return m, nil
}

// press does what a letter or a digit does.
func (m Model) press(r rune) (Model, tea.Cmd) {
	switch {
	case r >= '0' && r <= '9':
		return m.toggle(r)
	case r == 'r':
		m.page++
	case r == 'u':
		m.units = m.units.Next()
	case r == 'l':
		m.look = (m.look + 1) % canvas.Looks
	case r == '?':
		m.help = !m.help
	case r == 'q':
		return m, tea.Quit
	}
	return m, nil
}

// step changes the field under the cursor.
func (m Model) step(by float64) (Model, tea.Cmd) {
	f := m.fields[m.at]
	if f.Step == nil {
		m.notice = f.Name + " is typed: press enter"
		return m, nil
	}
	d := m.setup.Day
	f.Step(&d, by)
	return m.changed(d)
}

// forget takes back what was said of a field: all the other fields are said anew.
func (m Model) forget() (Model, tea.Cmd) {
	d := plan.NewDay()
	for i, f := range m.fields {
		// Whole texts, so that nothing is rounded on the way more than the screen shows.
		if text := f.Text(&m.setup.Day, 0); i != m.at && text != "" {
			if err := f.Set(&d, text); err != nil {
				m.notice = oneLine(err)
				return m, nil
			}
		}
	}
	return m.changed(d)
}

// typed takes a key into what is typed.
func (m Model) typed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch msg.Type {
	case tea.KeyEsc:
		m.typing = false
	case tea.KeyBackspace:
		if _, n := utf8.DecodeLastRuneInString(m.input); n > 0 {
			m.input = m.input[:len(m.input)-n]
		}
	case tea.KeyRunes, tea.KeySpace:
		if len(m.input) < typedMost {
			m.input += canvas.Clean(string(msg.Runes), false)
		}
	case tea.KeyEnter:
		d := m.setup.Day
		if err := m.fields[m.at].Set(&d, strings.TrimSpace(m.input)); err != nil {
			m.notice = oneLine(err)
			return m, nil
		}
		m.typing, m.notice = false, ""
		return m.changed(d)
	}
	return m, nil
}

// toggle puts the remedy of a digit in place, or takes it away.
func (m Model) toggle(digit rune) (Model, tea.Cmd) {
	list := m.ordered() // what has no row does nothing
	at := slices.IndexFunc(list, func(r plan.Remedy) bool { return r.Digit == digit })
	switch {
	case at < 0:
		m.notice = "that remedy is in place already, or does nothing on this day"
		return m, nil
	case list[at].Needs != "":
		m.notice = m.setup.Told(list[at].Name, m.units) + ": first say " + list[at].Needs
		return m, nil
	}
	key := list[at].Key
	if i := slices.Index(m.on, key); i >= 0 {
		m.on = slices.Delete(slices.Clone(m.on), i, i+1)
	} else {
		m.on = append(slices.Clone(m.on), key)
	}
	return m.anew()
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }
