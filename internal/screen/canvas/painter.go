package canvas

import (
	"errors"
	"io"
	"sync"
	"time"

	"fillwright/internal/fault"
)

// Painter brings pictures onto the terminal from a goroutine of its own. It
// writes only the cells that have changed: what is steady costs nothing on a
// slow line, and while the line is busy only the newest picture waits.
type Painter struct {
	fail func(error) // told when the terminal takes no more
	wake chan struct{}
	done chan struct{}

	mu     sync.Mutex
	next   *Frame // newest picture, nil: none waits
	anew   bool   // the terminal was in other hands meanwhile
	closed bool

	brush *Brush // of the goroutine
	err   error  // of the first write that failed, valid when done is closed
}

// painterCloses is the longest wait for a stuck terminal at the end.
const painterCloses = 2 * time.Second

// NewPainter takes the terminal; fail is told when it takes no more.
func NewPainter(w io.Writer, fail func(error)) *Painter {
	p := &Painter{brush: NewBrush(w), fail: fail, wake: make(chan struct{}, 1), done: make(chan struct{})}
	go p.run()
	return p
}

// Show hands a picture over and never waits.
func (p *Painter) Show(f *Frame) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.next = f
	p.nudge()
}

// Again says that nothing is left on the terminal of what was drawn there, nor
// of how it was set up.
func (p *Painter) Again() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.anew = true
	p.nudge()
}

func (p *Painter) nudge() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// Close leaves the picture and gives the terminal back. A terminal that takes
// nothing any more is not waited for.
func (p *Painter) Close() error {
	p.mu.Lock()
	p.closed = true
	p.nudge()
	p.mu.Unlock()
	timer := time.NewTimer(painterCloses)
	defer timer.Stop()
	select {
	case <-p.done:
		return errors.Join(p.err, p.brush.fault)
	case <-timer.C:
		return errors.New("the terminal takes nothing any more")
	}
}

func (p *Painter) run() {
	defer close(p.done)
	defer func() {
		if p.err != nil {
			p.fail(p.err)
		}
	}()
	defer p.rescue()
	if _, p.err = io.WriteString(p.brush.w, enterPicture); p.err != nil {
		return
	}
	for range p.wake {
		p.mu.Lock()
		f, anew, closed := p.next, p.anew, p.closed
		p.next, p.anew = nil, false
		p.mu.Unlock()
		if p.err = p.brush.Bring(f, anew && !closed); p.err != nil {
			return
		}
		if closed {
			_, p.err = io.WriteString(p.brush.w, leavePicture)
			return
		}
	}
}

// rescue gives the terminal back when the painter itself fails: nobody else
// knows that there is a picture to leave.
func (p *Painter) rescue() {
	if r := recover(); r != nil {
		_, err := io.WriteString(p.brush.w, leavePicture)
		p.err = errors.Join(fault.Of("the painter", r), err)
	}
}
