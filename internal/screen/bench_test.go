package screen

import (
	"fmt"
	"testing"

	"fillwright/internal/jsonline"
	"fillwright/internal/lines"
)

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
