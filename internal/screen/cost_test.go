package screen

import (
	"bytes"
	"fmt"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/jsonline"
	"fillwright/internal/lines"
	"fillwright/internal/must"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
)

// TestSteadyCostsNothing: the same picture again writes no byte; one digit
// writes a few.
func TestSteadyCostsNothing(t *testing.T) {
	var line bytes.Buffer
	p := canvas.NewBrush(&line)
	m, _ := modelAt(t, "filling")
	paint := func() int {
		line.Reset()
		must.Do(t, p.Bring(m.Frame(), false))
		return line.Len()
	}
	n := paint()
	must.Be(t, n >= 1000, "the first picture took %d bytes", n)
	n = paint()
	must.Be(t, n == 0, "the same picture took %d bytes: %q", n, line.String())
	m.live.GasK += 0.1
	n = paint()
	must.Be(t, n != 0 && n <= 40, "a digit took %d bytes: %q", n, line.String())
	m, _ = press(m, "<ctrl+l>")
	n = paint()
	must.Be(t, n >= 1000, "ctrl+l took %d bytes", n)
}

// TestAbsurdWindow: whatever size a terminal says it has, a picture takes no
// more than a few megabytes and is drawn.
func TestAbsurdWindow(t *testing.T) {
	for _, size := range [][2]int{{65535, 65535}, {6000, 6000}, {65535, 1}, {1, 65535}, {0, 0}, {-1, -1}} {
		next, _ := modelIn(situations()[0], newFakeFeed(), Options{}, 80, 24).Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		f := next.(Model).Frame()
		w, h := f.Size()
		must.Be(t, w >= 1 && h >= 1 && w <= program.MostW && h <= program.MostH, "%v gives %d×%d", size, w, h)
		var line bytes.Buffer
		err := canvas.NewBrush(&line).Bring(f, false)
		must.Be(t, err == nil && line.Len() <= 16<<20, "%v: %d bytes, %v", size, line.Len(), err)
	}
}

// BenchmarkAppendJSON: one line; replays print many.
func BenchmarkAppendJSON(b *testing.B) {
	s := moment(82)
	easing(&s)
	buf := make([]byte, 0, 2048)
	b.ReportAllocs()
	for b.Loop() {
		buf = jsonline.Append(buf[:0], &s)
	}
}

func BenchmarkPlainLine(b *testing.B) {
	s := moment(82)
	b.ReportAllocs()
	for b.Loop() {
		lines.PlainLine(s, 0)
	}
}

// BenchmarkView: one picture.
func BenchmarkView(b *testing.B) {
	for _, size := range sizes {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			m := modelIn(situations()[2], newFakeFeed(), Options{}, size[0], size[1])
			b.ReportAllocs()
			for b.Loop() {
				m.View()
			}
		})
	}
}

// BenchmarkUpdate: one Snapshot taken in.
func BenchmarkUpdate(b *testing.B) {
	m := modelIn(situations()[2], newFakeFeed(), Options{}, 80, 24)
	b.ReportAllocs()
	for b.Loop() {
		next, _ := m.Update(pulseMsg{m.live, m.clock})
		m = next.(Model)
	}
}
