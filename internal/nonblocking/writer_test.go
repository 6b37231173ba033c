package nonblocking

import (
	"bytes"
	"errors"
	"io"
	"testing"

	"fillwright/internal/must"
)

// An Writer passes everything on in order and never waits for its far end.
func TestOutlet(t *testing.T) {
	var b bytes.Buffer
	o := New(&b)
	for _, s := range []string{"a", "b", "c"} {
		must.Do(t, must.Err(o.Write([]byte(s))))
	}
	must.Do(t, o.Close())
	must.Be(t, b.String() == "abc", "got %q", b.String())
}

// stuck takes nothing until it is let.
type stuck struct{ free chan struct{} }

func (s stuck) Write(p []byte) (int, error) { <-s.free; return len(p), nil }

// A stuck far end costs lines, never time, and the loss is told.
func TestOutletStuck(t *testing.T) {
	far := stuck{make(chan struct{})}
	o := New(far)
	line := make([]byte, most/4)
	for range 12 {
		must.Do(t, must.Err(o.Write(line)))
	}
	close(far.free)
	must.Refuse(t, o.Close(), "too slow")
}

// A far end that fails is told once and for all.
func TestOutletFails(t *testing.T) {
	r, w := io.Pipe()
	o := New(w)
	must.Do(t, r.CloseWithError(io.ErrShortWrite))
	must.Do(t, must.Err(o.Write([]byte("x"))))
	must.Comes(t, "the failure is told", o.Failed())
	_, err := o.Write([]byte("y"))
	must.Be(t, errors.Is(err, io.ErrShortWrite) && errors.Is(o.Err(), io.ErrShortWrite), "Write says %v, Err says %v", err, o.Err())
}
