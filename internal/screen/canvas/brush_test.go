package canvas

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/vt"
	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// drawing draws a picture of random pieces, some of them much alike, so that
// little changes from one to the next.
func drawing(t *rapid.T, w, h int, p *Palette) *Frame {
	rows := make([]Row, h)
	for y := range rows {
		for range rapid.IntRange(0, 5).Draw(t, "pieces") {
			text := rapid.SampledFrom([]string{" ", "  ", "12.3", "12.4", "SHUT", "■ ABORT", "a longer piece of text", "±", "        x"}).Draw(t, "text")
			rows[y] = rows[y].Add(Role(rapid.IntRange(0, int(Roles)-1).Draw(t, "role")), text)
		}
		rows[y] = rows[y].Fit(w)
	}
	return FrameOf(rows, w, h, p, rapid.IntRange(0, 1).Draw(t, "anew"))
}

// text is the picture as people read it.
func text(f *Frame) string {
	w, h := f.Size()
	var b strings.Builder
	for y := range h {
		line := ""
		for x := range w {
			r, _ := f.At(x, y)
			line += string(r)
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// shown is what a terminal shows.
func shown(em *vt.Emulator) string {
	lines := strings.Split(em.String(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}

// TestBrushAgainstAnEmulator: whatever pictures follow each other, the terminal
// shows the newest with its inks, though only changes were written: in every
// look and depth, at sizes that change, in random order.
func TestBrushAgainstAnEmulator(t *testing.T) {
	var palettes []*Palette
	for l := range Looks {
		for _, d := range []Depth{DepthColour, DepthMono, DepthNone} {
			palettes = append(palettes, NewPalette(l, d))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var line bytes.Buffer
		b := NewBrush(&line)
		em := vt.NewEmulator(50, 12)
		for range rapid.IntRange(1, 8).Draw(t, "pictures") {
			size := rapid.SampledFrom([][2]int{{50, 12}, {50, 12}, {31, 5}}).Draw(t, "size")
			f := drawing(t, size[0], size[1], palettes[rapid.IntRange(0, len(palettes)-1).Draw(t, "palette")])
			em.Resize(size[0], size[1])
			must.Do(t, b.Bring(f, rapid.IntRange(0, 9).Draw(t, "again") == 0))
			must.Do(t, must.Err(em.Write(line.Bytes())))
			line.Reset()
			want, got := text(f), shown(em)
			must.Need(t, got == want, "shows\n%s\nwant\n%s", got, want)
			sameInks(t, em, f)
		}
	})
}

// sameInks: where a picture has a signal ink the terminal's cell has the ground
// or the reverse of that ink, and nowhere else.
func sameInks(t *rapid.T, em *vt.Emulator, f *Frame) {
	grounds, attrs := inked(f.pal)
	for i, c := range f.cells {
		signal, want := c.role == Abort || c.role == Caution, grounds[Text]
		if signal {
			want = grounds[c.role]
		}
		got, gotAttrs := lookOf(em, i%f.w, i/f.w)
		must.Need(t, got == want && (!signal || gotAttrs == attrs[c.role]),
			"cell %d,%d %q of role %d is drawn on %s with %d, want %s with %d", i%f.w, i/f.w, c.r, c.role, got, gotAttrs, want, attrs[c.role])
	}
}

// lookOf is the ground and the attributes of a terminal's cell.
func lookOf(em *vt.Emulator, x, y int) (ground string, attrs uint8) {
	c := em.CellAt(x, y)
	return fmt.Sprint(c.Style.Bg), c.Style.Attrs
}

// inked is how a terminal of its own draws after the sequences of a picture's
// inks.
func inked(p *Palette) (ground [Roles]string, attrs [Roles]uint8) {
	for r, on := range p.on {
		ground[r], attrs[r] = afterwards(p.base + on)
	}
	return ground, attrs
}

func afterwards(sequence string) (ground string, attrs uint8) {
	em := vt.NewEmulator(2, 1)
	if _, err := em.Write([]byte(sequence + "x")); err != nil {
		panic(err)
	}
	return lookOf(em, 0, 0)
}

// TestBrushFault: a picture that can't be painted is printed, so that the
// verdict stays, and the next one is whole again; the fault is told at the end.
func TestBrushFault(t *testing.T) {
	rows := []Row{RowOf(Abort, "SHUT THE SUPPLY NOW"), RowOf(Text, "why"), RowOf(Label, "keys")}
	for i := range rows {
		rows[i] = rows[i].Fit(80)
	}
	good := FrameOf(rows, 80, 3, NewPalette(LookPlain, DepthColour), 0)
	bad := *good
	bad.pal = nil
	var line bytes.Buffer
	b := NewBrush(&line)
	em := vt.NewEmulator(80, 3)
	for _, f := range []*Frame{good, &bad, good} {
		line.Reset()
		must.Do(t, b.Bring(f, false))
		must.Do(t, must.Err(em.Write(line.Bytes())))
		want := text(f)
		if f == &bad {
			want = "SHUT THE SUPPLY NOW\nwhy\n" + brushFault + "\n"
		}
		got := shown(em)
		must.Be(t, got == want, "shows\n%s\nwant\n%s", got, want)
	}
	must.Be(t, b.fault != nil && strings.Contains(b.fault.Error(), "painter"), "the fault is forgotten: %v", b.fault)
}

// TestAgain: after somebody else had the terminal the whole picture is drawn
// anew, on the alternate screen, though nothing in it has changed.
func TestAgain(t *testing.T) {
	var line bytes.Buffer
	b := NewBrush(&line)
	f := FrameOf([]Row{RowOf(Strong, "filling").Fit(20)}, 20, 1, NewPalette(LookSun, DepthColour), 0)
	must.Do(t, b.Bring(f, false))
	whole := line.String()
	for _, next := range []*Frame{nil, f} {
		line.Reset()
		must.Do(t, b.Bring(next, true))
		must.Be(t, line.String() == enterPicture+whole, "drew %d bytes, want %d", line.Len(), len(enterPicture+whole))
	}
}
