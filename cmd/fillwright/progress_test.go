package main

import (
	"math"
	"strings"
	"testing"
	"time"

	"fillwright/internal/must"
)

// TestProgress proves that short work says nothing, that long work says how far
// it is and when it will be done, no more often than can be read, and that
// nothing of it is left at the end. The clock is the test's.
func TestProgress(t *testing.T) {
	var out strings.Builder
	now := time.Unix(1000, 0)
	p := newProgress(&out, "learning", func() time.Time { return now })
	pass := func(d time.Duration, share float64) string {
		now = now.Add(d)
		out.Reset()
		p.at(share)
		return out.String()
	}
	must.Equal(t, pass(900*time.Millisecond, 0.01), "", "before a second")
	must.Equal(t, pass(200*time.Millisecond, 0.01), clearLine+"fillwright: learning: 1 %", "with too little done to guess")
	must.Equal(t, pass(100*time.Millisecond, 0.02), "", "faster than can be read")
	must.Equal(t, pass(8800*time.Millisecond, 0.25), clearLine+"fillwright: learning: 25 %, done in about 0:30", "after 10 s") // 10 s for a quarter
	must.Equal(t, pass(time.Second, math.NaN()), clearLine+"fillwright: learning", "not known")
	pass(time.Second, 0.5)
	now = now.Add(2 * time.Second)
	out.Reset()
	if p.show(); out.String() != clearLine+"fillwright: learning: 50 %, done in about 0:10" { // 12 s for a half, 2 s ago
		t.Errorf("while a part takes long: %q", out.String())
	}
	out.Reset()
	p.end()
	p.end()
	p.show()
	must.Be(t, out.String() == clearLine, "the end wrote %q", out.String())
	var none *progress
	none.at(0.5)
	none.clear()
	none.end()
}

// TestNoProgressInAPipe proves that whoever is no terminal sees none of it.
func TestNoProgressInAPipe(t *testing.T) {
	var out, errs strings.Builder
	p := (&terminal{out: &out, err: &errs}).begin("learning", false)
	must.Be(t, p == nil, "a pipe gets progress")
}
