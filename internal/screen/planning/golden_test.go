package planning

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

var sizes = [...][2]int{{60, 20}, {80, 24}, {100, 30}, {160, 45}}

// TestGoldenPictures holds every situation at every size, as monochrome text.
func TestGoldenPictures(t *testing.T) {
	for _, s := range situations {
		for _, size := range sizes {
			name := fmt.Sprintf("%s/%dx%d", s.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				golden(t, name, trimmed(modelIn(t, s, Options{Depth: canvas.DepthNone}, size[0], size[1]).View()))
			})
		}
	}
}

// TestGoldenLooks holds two situations in every look at the sizes that it is made
// for, with the escape sequences made visible, and in ASCII.
func TestGoldenLooks(t *testing.T) {
	for _, s := range []situation{situations[0], situations[2]} {
		for _, size := range sizes[1:] {
			hold := func(look string, opt Options) {
				name := fmt.Sprintf("%s/%dx%d-%s", s.name, size[0], size[1], look)
				t.Run(name, func(t *testing.T) {
					golden(t, name, strings.ReplaceAll(modelIn(t, s, opt, size[0], size[1]).View(), "\x1b", "␛")+"\n")
				})
			}
			for l := range canvas.Looks {
				hold(l.String(), Options{Look: l})
			}
			hold("mono", Options{Depth: canvas.DepthMono})
			hold("ascii", Options{Depth: canvas.DepthNone, ASCII: true})
		}
	}
}

// TestEverySize proves that a picture fills its window exactly, whatever the size,
// the units and the situation; that verdict and keys are in it from 60 by 20 on;
// and that ASCII is ASCII.
func TestEverySize(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := situations[rapid.IntRange(0, len(situations)-1).Draw(r, "situation")]
		w, h := rapid.IntRange(1, 220).Draw(r, "w"), rapid.IntRange(1, 70).Draw(r, "h")
		ascii := rapid.Bool().Draw(r, "ascii")
		m := modelIn(t, s, Options{Depth: canvas.DepthNone, ASCII: ascii, Units: quantity.System(rapid.IntRange(0, 2).Draw(r, "units"))}, w, h)
		lines := strings.Split(m.View(), "\n")
		if len(lines) != h {
			r.Fatalf("%d lines in a window of %d", len(lines), h)
		}
		for _, l := range lines {
			if canvas.Cells(l) != w {
				r.Fatalf("%d cells in a window of %d: %q", canvas.Cells(l), w, l)
			}
			if ascii && strings.ContainsFunc(l, func(c rune) bool { return c > 126 }) {
				r.Fatalf("not ASCII: %q", l)
			}
		}
		if fw, fh := m.Frame().Size(); fw != w || fh != h {
			r.Fatalf("a frame of %d by %d", fw, fh)
		}
		if whole := strings.Join(lines, "\n"); w >= 60 && h >= 20 && !m.help && !m.stale &&
			(!strings.Contains(whole, "1-0 remedy") || m.answer.Verdict != plan.NoGo && !strings.Contains(whole, "may stand")) {
			r.Fatalf("something that matters is missing:\n%s", whole)
		}
	})
}
