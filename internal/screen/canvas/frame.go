// Package canvas is what every screen is drawn with: rows of text in roles,
// the looks that say how a role appears, glyphs with their ASCII stand-ins, large
// letters, a chart, and the painter that brings a picture onto the terminal.
//
// A picture is made of Rows. A Row holds Spans; each has a Role (a label, a
// value, a caution), never a colour. Sizes are in cells of the terminal, and
// every rune of a Row is one cell wide: Clean sees to that for text from
// outside. Frame and Painter write only what has changed since the last picture.
package canvas

import (
	"strconv"
	"strings"

	"fillwright/internal/plaintext"
)

// gapMost is how many cells are written over rather than jumped.
const gapMost = 4

// brushFault stands in the last line of a picture that could only be printed.
const brushFault = "The painter met a fault: no colours. Watching goes on."

// cell is one place of a picture.
type cell struct {
	r    rune
	role Role
}

// Frame is a picture ready to be compared.
type Frame struct {
	w, h  int
	pal   *Palette
	anew  int // another number asks for the whole picture
	cells []cell
}

// FrameOf takes a picture's rows apart; they fill it exactly.
func FrameOf(rows []Row, w, h int, pal *Palette, anew int) *Frame {
	f := &Frame{w: w, h: h, pal: pal, anew: anew, cells: make([]cell, 0, w*h)}
	for _, r := range rows {
		for _, s := range r {
			for _, c := range s.Text {
				// A blank looks the same in every role without a ground of its own.
				ro := s.Role
				if c == ' ' && ro != Caution && ro != Abort {
					ro = Text
				}
				f.cells = append(f.cells, cell{plaintext.Rune(c), ro})
			}
		}
	}
	for len(f.cells) < w*h {
		f.cells = append(f.cells, cell{' ', Text})
	}
	return f
}

// At is what stands in a cell, and its role.
func (f *Frame) At(x, y int) (rune, Role) {
	c := f.cells[y*f.w+x]
	return c.r, c.role
}

// Size is how many cells wide and high the picture is.
func (f *Frame) Size() (w, h int) { return f.w, f.h }

// print is the picture as bare text.
func (f *Frame) print() string {
	var b strings.Builder
	b.WriteString("\x1b[0m\x1b[2J")
	for y := range f.h {
		b.WriteString("\x1b[" + strconv.Itoa(y+1) + ";1H")
		if y == f.h-1 && y > 0 {
			b.WriteString(FirstCells(brushFault, f.w))
			break
		}
		for _, c := range f.cells[y*f.w : (y+1)*f.w] {
			b.WriteRune(c.r)
		}
	}
	return b.String()
}

// changes appends the runs of cells in which f is other than have, and gives
// the ink that is in force after them.
func (f *Frame) changes(b *strings.Builder, have *Frame, ink Role) Role {
	for y := range f.h {
		line, was := f.cells[y*f.w:(y+1)*f.w], have.cells[y*f.w:(y+1)*f.w]
		at := -1 // where the cursor is in this line; -1: elsewhere
		for x := 0; x < f.w; {
			if line[x] == was[x] {
				x++
				continue
			}
			end := runEnd(line, was, x)
			switch {
			case at < 0:
				b.WriteString("\x1b[" + strconv.Itoa(y+1) + ";" + strconv.Itoa(x+1) + "H")
			default:
				b.WriteString("\x1b[" + strconv.Itoa(x-at) + "C")
			}
			ink = f.write(b, line[x:end], ink)
			at, x = end, end
		}
	}
	return ink
}

// runEnd is where a run of changes ends; short stretches between two changes
// are written again, since jumping them costs more.
func runEnd(line, was []cell, x int) int {
	end, same := x+1, 0
	for i := x + 1; i < len(line) && same <= gapMost; i++ {
		if line[i] == was[i] {
			same++
			continue
		}
		end, same = i+1, 0
	}
	return end
}

// write appends cells, changing the ink only where it shows: a blank without
// a ground of its own looks the same in the ink before it.
func (f *Frame) write(b *strings.Builder, run []cell, ink Role) Role {
	for _, c := range run {
		blank := c.r == ' ' && c.role == Text && ink != Caution && ink != Abort
		if c.role != ink && !blank {
			if f.pal.on[ink] != "" {
				b.WriteString(f.pal.end + f.pal.base)
			}
			b.WriteString(f.pal.on[c.role])
			ink = c.role
		}
		b.WriteRune(c.r)
	}
	return ink
}
