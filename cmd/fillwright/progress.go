package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"sync"
	"time"

	"github.com/mattn/go-isatty"

	"fillwright/internal/plaintext"
	"fillwright/internal/quantity"
	"fillwright/internal/runlog"
	"fillwright/internal/wire"
)

// progress tells on a terminal how far long work has come and when it will be
// done: one line that is written over and goes when the work does. A nil one,
// as whoever reads a pipe gets it, tells nothing. Safe for several goroutines.
type progress struct {
	mu    sync.Mutex
	w     io.Writer
	what  string
	now   func() time.Time
	begun time.Time
	told  time.Time
	share float64   // that was done …
	since time.Time // … at this moment
	width int       // cells of the line that stands there, 0: none
	ended chan struct{}
}

const (
	progressAfter = time.Second            // shorter work says nothing
	progressEvery = 250 * time.Millisecond // between two lines
	guessAfter    = 0.02                   // share that is done before the end is guessed
	clearLine     = "\r\x1b[K"
)

// begin tells of work under a name. Where the work prints lines on a terminal
// itself they say how far it is.
func (t *terminal) begin(what string, prints bool) *progress {
	if !isTerminal(t.rawErr) || prints && isTerminal(t.rawOut) {
		return nil
	}
	t.running = newProgress(t.rawErr, plaintext.Line(what), time.Now)
	go t.running.beat()
	return t.running
}

// beat lets the time left run down while a long part of the work is under way.
func (p *progress) beat() {
	tick := time.NewTicker(2 * progressEvery)
	defer tick.Stop()
	for {
		select {
		case <-p.ended:
			return
		case <-tick.C:
			p.mu.Lock()
			p.show()
			p.mu.Unlock()
		}
	}
}

func newProgress(w io.Writer, what string, now func() time.Time) *progress {
	return &progress{w: w, what: what, now: now, begun: now(), since: now(), ended: make(chan struct{})}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())) && os.Getenv("TERM") != "dumb"
}

// at says that a share of the work is done, 0 to 1.
func (p *progress) at(share float64) {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.share, p.since = math.Min(math.Max(share, 0), 1), p.now()
	p.show()
}

// show writes the line, if it is time for one.
func (p *progress) show() {
	now := p.now()
	if now.Sub(p.begun) < progressAfter || now.Sub(p.told) < progressEvery || p.over() {
		return
	}
	p.told = now
	line := "fillwright: " + p.what
	if !math.IsNaN(p.share) {
		line += fmt.Sprintf(": %d %%", int(p.share*100))
	}
	if p.share >= guessAfter {
		left := p.since.Sub(p.begun).Seconds()*(1-p.share)/p.share - now.Sub(p.since).Seconds()
		line += ", done in about " + quantity.Clock(math.Max(math.Ceil(left), 1))
	}
	p.write(clearLine + line)
	p.width = len(line)
}

func (p *progress) over() bool {
	select {
	case <-p.ended:
		return true
	default:
		return false
	}
}

// end says that the work is done.
func (p *progress) end() {
	if p == nil {
		return
	}
	p.mu.Lock()
	if !p.over() {
		close(p.ended)
	}
	p.mu.Unlock()
	p.clear()
}

// clear takes the line away, for others to print.
func (p *progress) clear() {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.width > 0 {
		p.write(clearLine)
		p.width = 0
	}
}

// write prints; a terminal that is gone sees no progress.
func (p *progress) write(text string) { _, _ = io.WriteString(p.w, text) }

// toldReader tells how much of a recording is read. One that is read twice is
// read quickly first, for what was taken back, then for good.
type toldReader struct {
	*runlog.Reader
	told    *progress
	pass, n int
}

const firstPass = 0.2 // share of the work

// Rewind implements recording.Rewinder.
func (r *toldReader) Rewind() error {
	r.pass++
	return r.Reader.Rewind()
}

// Next implements recording.Source.
func (r *toldReader) Next() (wire.Frame, error) {
	if r.n++; r.n%1024 == 0 {
		share := r.Share()
		switch r.pass {
		case 1:
			share *= firstPass
		case 2:
			share = firstPass + (1-firstPass)*share
		}
		r.told.at(share)
	}
	return r.Reader.Next()
}
