package canvas

import (
	"io"
	"strings"

	"fillwright/internal/fault"
)

// Brush writes pictures onto a terminal: only the cells that have changed, so
// that what is steady costs nothing on a slow line.
type Brush struct {
	w     io.Writer
	have  *Frame // what is on the terminal
	ink   Role   // that is in force there
	fault error  // of the first picture that could not be painted
}

// NewBrush is a brush for a terminal of which nothing is known yet.
func NewBrush(w io.Writer) *Brush { return &Brush{w: w} }

const (
	enterPicture = "\x1b[?1049h\x1b[?25l\x1b[?7l" // alternate screen, no cursor, no wrapping
	leavePicture = "\x1b[0m\x1b[?7h\x1b[?1049l\x1b[?25h"
)

// Bring brings a picture to the terminal, nil: none is new.
func (b *Brush) Bring(f *Frame, anew bool) error {
	if anew {
		if _, err := io.WriteString(b.w, enterPicture); err != nil {
			return err
		}
		if f == nil {
			f = b.have
		}
		b.have = nil
	}
	if f == nil {
		return nil
	}
	return b.paintOrPrint(f)
}

// paintOrPrint prints a picture without inks when painting it fails: what is
// to be done stands in words.
func (b *Brush) paintOrPrint(f *Frame) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if b.fault == nil {
				b.fault = fault.Of("the painter", r)
			}
			b.have, b.ink = nil, Text
			_, err = io.WriteString(b.w, f.print())
		}
	}()
	return b.paint(f)
}

// paint writes what is other than on the terminal, in one write.
func (b *Brush) paint(f *Frame) error {
	var out strings.Builder
	have := b.have
	if have == nil || have.w != f.w || have.h != f.h || have.pal != f.pal || have.anew != f.anew {
		out.WriteString("\x1b[0m" + f.pal.base + "\x1b[2J")
		b.ink = Text
		have = &Frame{cells: make([]cell, len(f.cells))}
		if f.pal.base == "" { // an erased terminal holds blanks, unless they have a ground
			for i := range have.cells {
				have.cells[i] = cell{' ', Text}
			}
		}
	}
	b.ink = f.changes(&out, have, b.ink)
	b.have = f
	if out.Len() == 0 {
		return nil
	}
	_, err := io.WriteString(b.w, out.String())
	return err
}
