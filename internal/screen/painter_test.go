package screen

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
)

// TestPainterAgainstAnEmulator: whatever pictures follow each other, the
// terminal shows the newest, though only changes were written: every situation
// in every look, at sizes that change, and in random order of time.
func TestPainterAgainstAnEmulator(t *testing.T) {
	for l := range lookCount {
		for _, depth := range []Depth{DepthColour, DepthMono, DepthNone} {
			var line bytes.Buffer
			p := &painter{w: &line}
			em := vt.NewEmulator(100, 30)
			for _, sit := range situations() {
				for _, size := range [][2]int{{100, 30}, {60, 20}, {60, 20}} {
					m := modelIn(sit, newFakeFeed(), Options{Look: l, Depth: depth}, size[0], size[1])
					m.palettes = samePalettes(l, depth)
					em.Resize(size[0], size[1])
					if err := p.paint(m.frame()); err != nil {
						t.Fatal(err)
					}
					if _, err := em.Write(line.Bytes()); err != nil {
						t.Fatal(err)
					}
					line.Reset()
					plain := m
					plain.palettes = samePalettes(l, DepthNone)
					if want, got := trimmed(plain.View()), trimmed(em.String()); got != want {
						t.Fatalf("look %s, depth %d, %s at %v shows\n%s\nwant\n%s", l, depth, sit.name, size, got, want)
					}
					sameInks(t, sit.name, em, m)
				}
			}
		}
	}
}

var keptPalettes = map[string][lookCount]*palette{}

// samePalettes are the same each time: the painter knows them by their address.
func samePalettes(l Look, d Depth) [lookCount]*palette {
	key := fmt.Sprint(l, d)
	if _, ok := keptPalettes[key]; !ok {
		var all [lookCount]*palette
		for i := range all {
			all[i] = newPalette(Look(i), d)
		}
		keptPalettes[key] = all
	}
	return keptPalettes[key]
}

// sameInks: where a picture has a signal ink the terminal's cell has a ground
// or a reverse of its own, and nowhere else.
func sameInks(t *testing.T, name string, em *vt.Emulator, m Model) {
	t.Helper()
	f := m.frame()
	blank := em.CellAt(m.w-1, m.h-1)
	for i, c := range f.cells {
		got := em.CellAt(i%f.w, i/f.w)
		signal := c.role == roleAbort && f.pal.on[roleAbort] != ""
		marked := fmt.Sprint(got.Style.Bg) != fmt.Sprint(blank.Style.Bg) || got.Style.Attrs != 0 && strings.Contains(f.pal.on[roleAbort], "7m") && fmt.Sprint(got.Style) == fmt.Sprint(em.CellAt(0, 0).Style) && f.cells[0].role == roleAbort
		if signal && !marked || c.role != roleAbort && c.role != roleCaution && fmt.Sprint(got.Style.Bg) != fmt.Sprint(blank.Style.Bg) {
			t.Fatalf("%s: cell %d,%d %q of role %d is drawn as %+v", name, i%f.w, i/f.w, c.r, c.role, got.Style)
		}
	}
}

// TestSteadyCostsNothing: the same picture again writes no byte; one digit
// writes a few.
func TestSteadyCostsNothing(t *testing.T) {
	var line bytes.Buffer
	p := &painter{w: &line}
	m, _ := modelAt(t, "filling")
	paint := func() int {
		line.Reset()
		if err := p.paint(m.frame()); err != nil {
			t.Fatal(err)
		}
		return line.Len()
	}
	if n := paint(); n < 1000 {
		t.Errorf("the first picture took %d bytes", n)
	}
	if n := paint(); n != 0 {
		t.Errorf("the same picture took %d bytes: %q", n, line.String())
	}
	m.live.GasK += 0.1
	if n := paint(); n == 0 || n > 40 {
		t.Errorf("a digit took %d bytes: %q", n, line.String())
	}
	m, _ = press(m, "<ctrl+l>")
	if n := paint(); n < 1000 {
		t.Errorf("ctrl+l took %d bytes", n)
	}
}

// TestStuckTerminal: showing never waits, only the newest picture waits, and
// closing gives up after a while.
func TestStuckTerminal(t *testing.T) {
	r, w := io.Pipe()
	p := newPainter(w, func(error) {})
	m, _ := modelAt(t, "filling")
	for i := range 1000 {
		m.live.PressurePa = bar(float64(i % 40))
		p.show(m.frame())
	}
	if err := p.close(); err == nil {
		t.Error("a stuck terminal was closed in order")
	}
	got := make([]byte, 4096)
	n, err := r.Read(got)
	if err != nil || string(got[:n]) != enterPicture {
		t.Errorf("%q, %v", got[:n], err)
	}
}

// TestDeadTerminalIsTold: the screen must not go on as if it were seen.
func TestDeadTerminalIsTold(t *testing.T) {
	r, w := io.Pipe()
	dead := errors.New("it is gone")
	if err := r.CloseWithError(dead); err != nil {
		t.Fatal(err)
	}
	told := make(chan error, 1)
	p := newPainter(w, func(err error) { told <- err })
	select {
	case err := <-told:
		if !errors.Is(err, dead) {
			t.Errorf("told %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("nobody was told")
	}
	if err := p.close(); !errors.Is(err, dead) {
		t.Errorf("closed with %v", err)
	}
}
