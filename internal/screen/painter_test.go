package screen

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
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

// TestPainterFault: a picture that can't be painted is printed, so that the
// verdict stays, and the next one is whole again; the fault is told at the end.
func TestPainterFault(t *testing.T) {
	sit := situations()[0]
	m := modelIn(sit, newFakeFeed(), Options{Depth: DepthColour}, 100, 30)
	good, bad := m.frame(), *m.frame()
	bad.pal = nil
	var line bytes.Buffer
	p := &painter{w: &line}
	em := vt.NewEmulator(100, 30)
	for _, f := range []*frame{good, &bad, good} {
		if err := p.bring(f, false); err != nil {
			t.Fatal(err)
		}
		if _, err := em.Write(line.Bytes()); err != nil {
			t.Fatal(err)
		}
		line.Reset()
		want := m
		want.palettes = samePalettes(LookPlain, DepthNone)
		lines, shown := pictureLines(want.View()), pictureLines(em.String())
		if f == &bad {
			if last := shown[len(shown)-1]; last != painterFault {
				t.Errorf("the fault is not told: %q", last)
			}
			lines, shown = lines[:len(lines)-1], shown[:len(shown)-1]
		}
		if strings.Join(lines, "\n") != strings.Join(shown, "\n") {
			t.Errorf("shows\n%s\nwant\n%s", em.String(), want.View())
		}
	}
	if p.fault == nil || !strings.Contains(p.fault.Error(), "painter") {
		t.Errorf("the fault is forgotten: %v", p.fault)
	}
}

func pictureLines(s string) []string {
	return strings.Split(strings.TrimSuffix(trimmed(s), "\n"), "\n")
}

// TestPainterPanic: when nothing can be drawn any more the terminal is given
// back, and the caller hears why.
func TestPainterPanic(t *testing.T) {
	var line bytes.Buffer
	failed := make(chan error, 1)
	p := newPainter(&line, func(err error) { failed <- err })
	p.show(&frame{w: 10, h: 10})
	<-p.done
	if !strings.HasSuffix(line.String(), leavePicture) {
		t.Errorf("ends with %q", line.String())
	}
	if err := <-failed; err == nil || !strings.Contains(err.Error(), "internal failure of the painter") {
		t.Errorf("told %v", err)
	}
	if err := p.close(); err == nil {
		t.Error("no error at the end")
	}
}

// TestAgain: after somebody else had the terminal the whole picture is drawn
// anew, on the alternate screen, though nothing in it has changed.
func TestAgain(t *testing.T) {
	m := modelIn(situations()[0], newFakeFeed(), Options{}, 80, 24)
	var line bytes.Buffer
	p := &painter{w: &line}
	f := m.frame()
	if err := p.bring(f, false); err != nil {
		t.Fatal(err)
	}
	whole := line.String()
	for _, next := range []*frame{nil, f} {
		line.Reset()
		if err := p.bring(next, true); err != nil {
			t.Fatal(err)
		}
		if line.String() != enterPicture+whole {
			t.Errorf("drew %d bytes, want %d", line.Len(), len(enterPicture+whole))
		}
	}
}

// TestAbsurdWindow: whatever size a terminal says it has, a picture takes no
// more than a few megabytes and is drawn.
func TestAbsurdWindow(t *testing.T) {
	for _, size := range [][2]int{{65535, 65535}, {6000, 6000}, {65535, 1}, {1, 65535}, {0, 0}, {-1, -1}} {
		next, _ := modelIn(situations()[0], newFakeFeed(), Options{}, 80, 24).Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		f := next.(Model).frame()
		if f.w < 1 || f.h < 1 || len(f.cells) != f.w*f.h || len(f.cells) > mostW*mostH {
			t.Errorf("%v gives %d×%d with %d cells", size, f.w, f.h, len(f.cells))
		}
		var line bytes.Buffer
		if err := (&painter{w: &line}).paint(f); err != nil || line.Len() > 16<<20 {
			t.Errorf("%v: %d bytes, %v", size, line.Len(), err)
		}
	}
}
