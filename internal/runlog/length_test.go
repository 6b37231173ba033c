package runlog

import (
	"errors"
	"io"
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The length is the session time of the last sample, as reading the fill finds
// it, and the reader stands at its first frame again.
func TestLengthS(t *testing.T) {
	var l ploverLog
	l.start(wire.Texts{})
	l.hello(1)
	l.sample(math.MaxUint32-99, 819, 0, 0, 0, 0, 0) // wraps after 0.1 s
	l.sample(0, 819, 0, 0, 0, 0, 0)
	l.sample(2400, 819, 0, 0, 0, 0, 0)
	path := write(t, "a.run", l.b)
	want := must.Get(ReadFill(path, vessel.Invented(), nil))(t)
	r := readerOf(t, l.b)
	n := 0
	for ; ; n++ {
		if _, err := r.Next(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	got, err := r.LengthS()
	last := want.TimeS[len(want.TimeS)-1]
	must.Be(t, err == nil && got == last && math.Abs(last-2.5) <= 1e-9, "length %g s (%v), want %g s", got, err, last)
	for range n {
		_, err := r.Next()
		must.Need(t, err == nil, "not at the first frame: %v", err)
	}
	twice := readerOf(t, shortFill())
	got, err = twice.LengthS()
	must.Be(t, err == nil && math.IsNaN(got), "length of two sessions is %g s (%v), want not known", got, err)
}
