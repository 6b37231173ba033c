package program

import (
	"io"
	"os"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/screen/canvas"
)

// stage is a Scene with the painter behind it: Bubble Tea calls View after
// every message, and there the picture is handed over instead of returned.
type stage struct {
	Scene
	painter *canvas.Painter
}

// Update implements tea.Model.
func (s stage) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if _, awake := msg.(Awake); awake {
		s.painter.Again()
	}
	next, cmd := s.Scene.Update(msg)
	s.Scene = next.(Scene)
	return s, cmd
}

// View implements tea.Model.
func (s stage) View() string {
	s.painter.Show(s.Frame())
	return ""
}

// muted is the terminal as Bubble Tea gets it: it may ask its size and set its
// mode, but what it would draw is drawn by the painter.
type muted struct{ *os.File }

// Write takes everything and writes nothing.
func (muted) Write(p []byte) (int, error) { return len(p), nil }

// WriteString is as mute as Write.
func (muted) WriteString(s string) (int, error) { return len(s), nil }

// mute is w for Bubble Tea.
func mute(w io.Writer) io.Writer {
	if f, ok := w.(*os.File); ok {
		return muted{f}
	}
	return io.Discard
}
