package screen

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"time"

	"fillwright/internal/plaintext"
)

// painter brings pictures onto the terminal from a goroutine of its own. It
// writes only the cells that have changed: what is steady costs nothing on a
// slow line, and while the line is busy only the newest picture waits.
type painter struct {
	w    io.Writer
	fail func(error) // told when the terminal takes no more
	wake chan struct{}
	done chan struct{}

	mu     sync.Mutex
	next   *frame // newest picture, nil: none waits
	anew   bool   // the terminal was in other hands meanwhile
	closed bool

	have *frame // what is on the terminal; of the goroutine
	ink  role   // that is in force there
	err  error  // of the first write that failed, valid when done is closed

	fault error // of the first picture that could not be painted; as err
}

// cell is one place of a picture.
type cell struct {
	r    rune
	role role
}

// frame is a picture ready to be compared.
type frame struct {
	w, h  int
	pal   *palette
	anew  int // another number asks for the whole picture
	cells []cell
}

const (
	enterPicture  = "\x1b[?1049h\x1b[?25l\x1b[?7l" // alternate screen, no cursor, no wrapping
	leavePicture  = "\x1b[0m\x1b[?7h\x1b[?1049l\x1b[?25h"
	gapMost       = 4               // cells that are written over rather than jumped
	painterCloses = 2 * time.Second // longest wait for a stuck terminal at the end
)

func newPainter(w io.Writer, fail func(error)) *painter {
	p := &painter{w: w, fail: fail, wake: make(chan struct{}, 1), done: make(chan struct{})}
	go p.run()
	return p
}

// frameOf takes a picture's rows apart; they fill it exactly.
func frameOf(rows []row, w, h int, pal *palette, anew int) *frame {
	f := &frame{w: w, h: h, pal: pal, anew: anew, cells: make([]cell, 0, w*h)}
	for _, r := range rows {
		for _, s := range r {
			for _, c := range s.text {
				// A blank looks the same in every role without a ground of its own.
				ro := s.role
				if c == ' ' && ro != roleCaution && ro != roleAbort {
					ro = roleText
				}
				f.cells = append(f.cells, cell{plaintext.Rune(c), ro})
			}
		}
	}
	for len(f.cells) < w*h {
		f.cells = append(f.cells, cell{' ', roleText})
	}
	return f
}

// show hands a picture over and never waits.
func (p *painter) show(f *frame) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.next = f
	p.nudge()
}

// again says that nothing is left on the terminal of what was drawn there, nor
// of how it was set up.
func (p *painter) again() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.anew = true
	p.nudge()
}

func (p *painter) nudge() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// close leaves the picture and gives the terminal back. A terminal that takes
// nothing any more is not waited for.
func (p *painter) close() error {
	p.mu.Lock()
	p.closed = true
	p.nudge()
	p.mu.Unlock()
	timer := time.NewTimer(painterCloses)
	defer timer.Stop()
	select {
	case <-p.done:
		return errors.Join(p.err, p.fault)
	case <-timer.C:
		return errors.New("the terminal takes nothing any more")
	}
}

func (p *painter) run() {
	defer close(p.done)
	defer func() {
		if p.err != nil {
			p.fail(p.err)
		}
	}()
	defer p.rescue()
	if _, p.err = io.WriteString(p.w, enterPicture); p.err != nil {
		return
	}
	for range p.wake {
		p.mu.Lock()
		f, anew, closed := p.next, p.anew, p.closed
		p.next, p.anew = nil, false
		p.mu.Unlock()
		if p.err = p.bring(f, anew && !closed); p.err != nil {
			return
		}
		if closed {
			_, p.err = io.WriteString(p.w, leavePicture)
			return
		}
	}
}

// rescue gives the terminal back when the painter itself fails: nobody else
// knows that there is a picture to leave.
func (p *painter) rescue() {
	if r := recover(); r != nil {
		_, err := io.WriteString(p.w, leavePicture)
		p.err = errors.Join(fmt.Errorf("internal failure of the painter: %v\n%s", r, debug.Stack()), err)
	}
}

// bring brings a picture to the terminal, nil: none is new.
func (p *painter) bring(f *frame, anew bool) error {
	if anew {
		if _, err := io.WriteString(p.w, enterPicture); err != nil {
			return err
		}
		if f == nil {
			f = p.have
		}
		p.have = nil
	}
	if f == nil {
		return nil
	}
	return p.paintOrPrint(f)
}

// painterFault stands in the last line of a picture that could only be printed.
const painterFault = "The painter met a fault: no colours. Watching goes on."

// paintOrPrint prints a picture without inks when painting it fails: what is
// to be done stands in words.
func (p *painter) paintOrPrint(f *frame) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if p.fault == nil {
				p.fault = fmt.Errorf("internal failure of the painter: %v\n%s", r, debug.Stack())
			}
			p.have, p.ink = nil, roleText
			_, err = io.WriteString(p.w, f.print())
		}
	}()
	return p.paint(f)
}

// print is the picture as bare text.
func (f *frame) print() string {
	var b strings.Builder
	b.WriteString("\x1b[0m\x1b[2J")
	for y := range f.h {
		b.WriteString("\x1b[" + strconv.Itoa(y+1) + ";1H")
		if y == f.h-1 && y > 0 {
			b.WriteString(firstCells(painterFault, f.w))
			break
		}
		for _, c := range f.cells[y*f.w : (y+1)*f.w] {
			b.WriteRune(c.r)
		}
	}
	return b.String()
}

// paint writes what is other than on the terminal, in one write.
func (p *painter) paint(f *frame) error {
	var b strings.Builder
	have := p.have
	if have == nil || have.w != f.w || have.h != f.h || have.pal != f.pal || have.anew != f.anew {
		b.WriteString("\x1b[0m" + f.pal.base + "\x1b[2J")
		p.ink = roleText
		have = &frame{cells: make([]cell, len(f.cells))}
		if f.pal.base == "" { // an erased terminal holds blanks, unless they have a ground
			for i := range have.cells {
				have.cells[i] = cell{' ', roleText}
			}
		}
	}
	p.ink = f.changes(&b, have, p.ink)
	p.have = f
	if b.Len() == 0 {
		return nil
	}
	_, err := io.WriteString(p.w, b.String())
	return err
}

// changes appends the runs of cells in which f is other than have, and gives
// the ink that is in force after them.
func (f *frame) changes(b *strings.Builder, have *frame, ink role) role {
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
func (f *frame) write(b *strings.Builder, run []cell, ink role) role {
	for _, c := range run {
		blank := c.r == ' ' && c.role == roleText && ink != roleCaution && ink != roleAbort
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

// muted is the terminal as Bubble Tea gets it: it may ask its size and set its
// mode, but what it would draw is drawn by the painter.
type muted struct{ *os.File }

// Write takes everything and writes nothing.
func (muted) Write(p []byte) (int, error) { return len(p), nil }

// WriteString is as mute as Write.
func (muted) WriteString(s string) (int, error) { return len(s), nil }

// mute is w for Bubble Tea.
func mute(w io.Writer) io.Writer {
	if f, ok := w.(*os.File); ok {
		return muted{f}
	}
	return io.Discard
}
