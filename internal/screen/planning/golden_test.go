package planning

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

var sizes = [...][2]int{{60, 20}, {80, 24}, {100, 30}, {160, 45}}

// picture is a golden file's: name, options and size.
type picture struct {
	name string
	s    situation
	opt  Options
	size [2]int
}

// pictures are every situation at every size, as monochrome text; and three, one of
// each word, in every look at the sizes that it is made for, and in ASCII.
func pictures() []picture {
	var out []picture
	for _, s := range situations {
		for _, size := range sizes {
			name := fmt.Sprintf("%s/%dx%d", s.name, size[0], size[1])
			out = append(out, picture{name, s, Options{Depth: canvas.DepthNone}, size})
			if s.name != "slower" && s.name != "go" && s.name != "no-go-sun" || size == sizes[0] {
				continue
			}
			for l := range canvas.Looks {
				out = append(out, picture{name + "-" + l.String(), s, Options{Look: l}, size})
			}
			out = append(out, picture{name + "-mono", s, Options{Depth: canvas.DepthMono}, size},
				picture{name + "-ascii", s, Options{Depth: canvas.DepthNone, ASCII: true}, size})
		}
	}
	return out
}

// TestGoldenPictures holds every picture, with the escape sequences made visible.
func TestGoldenPictures(t *testing.T) {
	for _, p := range pictures() {
		t.Run(p.name, func(t *testing.T) {
			golden(t, p.name, strings.ReplaceAll(trimmed(modelIn(t, p.s, p.opt, p.size[0], p.size[1]).View()), "\x1b", "␛"))
		})
	}
}

// TestNoPictureIsLeftOver proves that each golden file is one that is held.
func TestNoPictureIsLeftOver(t *testing.T) {
	files, err := filepath.Glob("testdata/*/*.golden")
	must.Do(t, err)
	must.Be(t, len(files) == len(pictures()), "%d golden files for %d pictures", len(files), len(pictures()))
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
