package main

import (
	"math"
	"strings"
	"testing"
	"time"
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
	if got := pass(900*time.Millisecond, 0.01); got != "" {
		t.Errorf("before a second: %q", got)
	}
	if got := pass(200*time.Millisecond, 0.01); got != clearLine+"fillwright: learning: 1 %" {
		t.Errorf("with too little done to guess: %q", got)
	}
	if got := pass(100*time.Millisecond, 0.02); got != "" {
		t.Errorf("faster than can be read: %q", got)
	}
	if got := pass(8800*time.Millisecond, 0.25); got != clearLine+"fillwright: learning: 25 %, done in about 0:30" { // 10 s for a quarter
		t.Errorf("after 10 s: %q", got)
	}
	if got := pass(time.Second, math.NaN()); got != clearLine+"fillwright: learning" {
		t.Errorf("not known: %q", got)
	}
	pass(time.Second, 0.5)
	now = now.Add(2 * time.Second)
	out.Reset()
	if p.show(); out.String() != clearLine+"fillwright: learning: 50 %, done in about 0:10" { // 12 s for a half, 2 s ago
		t.Errorf("while a part takes long: %q", out.String())
	}
	out.Reset()
	p.end()
	p.end()
	if p.show(); out.String() != clearLine {
		t.Errorf("the end wrote %q", out.String())
	}
	var none *progress
	none.at(0.5)
	none.clear()
	none.end()
}

// TestNoProgressInAPipe proves that whoever is no terminal sees none of it.
func TestNoProgressInAPipe(t *testing.T) {
	var out, errs strings.Builder
	if p := (&terminal{out: &out, err: &errs}).begin("learning", false); p != nil {
		t.Error("a pipe gets progress")
	}
}
