package screen

import (
	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/screen/program"
)

// stage is the Model with the painter behind it: Bubble Tea calls View after
// every message, and there the picture is handed over instead of returned.
type stage struct {
	Model
	painter *painter
}

// Update implements tea.Model.
func (s stage) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if _, awake := msg.(program.Awake); awake {
		s.painter.again()
	}
	next, cmd := s.Model.Update(msg)
	s.Model = next.(Model)
	return s, cmd
}

// View implements tea.Model.
func (s stage) View() string {
	s.painter.show(s.frame())
	return ""
}

// frame is the picture of this moment. A fault in it falls back to the plain
// lines of Model.View.
func (m Model) frame() (f *frame) {
	defer func() {
		if r := recover(); r != nil {
			var rows []row
			for _, line := range m.faultLines() {
				rows = append(rows, rowOf(roleText, line).fit(m.w))
			}
			f = frameOf(rows[:min(len(rows), m.h)], m.w, m.h, m.palettes[m.look], m.redraws)
		}
	}()
	return frameOf(m.picture().lines(), m.w, m.h, m.palettes[m.look], m.redraws)
}
