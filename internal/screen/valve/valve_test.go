package valve

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// tried counts what was turned, and refuses when it is told to.
type tried struct {
	keys    string
	refuses string
}

func (v *tried) turn(key string) string { v.keys += key; return v.refuses }
func (v *tried) Open() string           { return v.turn("o") }
func (v *tried) Close() string          { return v.turn("c") }
func (v *tried) Shut() string           { return v.turn("x") }
func (v *tried) Vent() string           { return v.turn("v") }
func (v *tried) Standing() string       { return "supply 3/16" }

func press(m Model, keys string) (Model, bool) {
	next, cmd := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(keys)})
	if cmd == nil {
		return next.(Model), false
	}
	_, quit := cmd().(tea.QuitMsg)
	return next.(Model), quit
}

// TestKeys proves that each key turns its valve, that keys read together count
// singly, that a refusal is shown, and that the gauge is in the units asked for.
func TestKeys(t *testing.T) {
	valves, pa := &tried{}, 12.3e5
	m := NewModel(Options{Valves: valves, Gauge: func() Dials { return Dials{75, pa, []Skin{{"sun", 273.15 + 41.5}}} }, Scene: "calm", At: "here", Units: quantity.SystemBarC})
	m, _ = press(m, "oocxv")
	must.Be(t, valves.keys == "oocxv", "turned %q", valves.keys)
	for _, want := range []string{"supply 3/16", "12.3 bar", "sun 41.5 °C", "1:15", "scene calm", "here", "invented"} {
		must.Be(t, strings.Contains(m.View(), want), "%q is not shown:\n%s", want, m.View())
	}
	valves.refuses = "The vent is open: shut it first."
	m, _ = press(m, "o")
	must.Be(t, strings.Contains(m.View(), valves.refuses), "the refusal is not shown:\n%s", m.View())
	before := valves.keys
	m, _ = press(m, "k")
	must.Be(t, valves.keys == before && strings.Contains(m.View(), "does nothing"), "a key that is none: %q\n%s", valves.keys, m.View())
	m, quit := press(m, "q")
	must.Be(t, !quit && strings.Contains(m.View(), "under pressure"), "it left a vessel under pressure:\n%s", m.View())
	m, quit = press(m, "n")
	must.Be(t, !quit, "n leaves")
	m, _ = press(m, "q")
	m, quit = press(m, "y")
	must.Be(t, quit, "y stays")
	pa = 0
	_, quit = press(m, "q")
	must.Be(t, quit, "q asks at an empty vessel")
}
