package canvas

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// TestStuckTerminal: showing never waits, only the newest picture waits, and
// closing gives up after a while.
func TestStuckTerminal(t *testing.T) {
	r, w := io.Pipe()
	p := NewPainter(w, func(error) {})
	for i := range 1000 {
		p.Show(FrameOf([]Row{RowOf(Text, strings.Repeat("x", i%40))}, 40, 1, NewPalette(LookPlain, DepthNone), 0))
	}
	if err := p.Close(); err == nil {
		t.Error("a stuck terminal was closed in order")
	}
	got := make([]byte, 4096)
	n, err := r.Read(got)
	must.Be(t, err == nil && string(got[:n]) == enterPicture, "%q, %v", got[:n], err)
}

// TestDeadTerminalIsTold: the screen must not go on as if it were seen.
func TestDeadTerminalIsTold(t *testing.T) {
	r, w := io.Pipe()
	dead := errors.New("it is gone")
	must.Do(t, r.CloseWithError(dead))
	told := make(chan error, 1)
	p := NewPainter(w, func(err error) { told <- err })
	err := must.Comes(t, "somebody is told", told)
	must.Be(t, errors.Is(err, dead), "told %v", err)
	err = p.Close()
	must.Be(t, errors.Is(err, dead), "closed with %v", err)
}

// TestPainterPanic: when nothing can be drawn any more the terminal is given
// back, and the caller hears why.
func TestPainterPanic(t *testing.T) {
	var line bytes.Buffer
	failed := make(chan error, 1)
	p := NewPainter(&line, func(err error) { failed <- err })
	p.Show(&Frame{w: 10, h: 10})
	<-p.done
	must.Be(t, strings.HasSuffix(line.String(), leavePicture), "ends with %q", line.String())
	must.Refuse(t, <-failed, "internal failure in the painter")
	err := p.Close()
	must.Be(t, err != nil, "no error at the end")
}
