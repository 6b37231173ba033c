package screen

import (
	"strings"

	"fillwright/internal/lines"
	"fillwright/internal/screen/canvas"
)

// View draws the picture. A fault in it falls back to the plain line, which
// still says what to do.
func (m Model) View() (out string) {
	defer func() {
		if r := recover(); r != nil {
			out = strings.Join(m.faultLines(), "\n")
		}
	}()
	return m.picture().String()
}

// faultLines stand in for a picture that failed.
func (m Model) faultLines() []string {
	text := canvas.Wrap(canvas.Clean(lines.PlainLine(m.live, m.units), true), m.w, max(m.h-1, 1), "~")
	if m.h > 1 {
		text = append(text, canvas.FirstCells("The picture failed; watching goes on. Press q to quit.", m.w))
	}
	return text
}

// Frame is the picture of this moment. A fault in it falls back to the plain
// lines of Model.View.
func (m Model) Frame() (f *canvas.Frame) {
	defer func() {
		if r := recover(); r != nil {
			var rows []canvas.Row
			for _, line := range m.faultLines() {
				rows = append(rows, canvas.RowOf(canvas.Text, line).Fit(m.w))
			}
			f = canvas.FrameOf(rows[:min(len(rows), m.h)], m.w, m.h, m.palettes[m.look], m.redraws)
		}
	}()
	return canvas.FrameOf(m.picture().lines(), m.w, m.h, m.palettes[m.look], m.redraws)
}
