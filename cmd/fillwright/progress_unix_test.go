//go:build unix

package main

import (
	"strings"
	"testing"
)

// TestProgressOnTerminal proves that work that takes long says on a terminal how
// far it is and when it will be done, and that nothing of that is left behind.
func TestProgressOnTerminal(t *testing.T) {
	s := start(t, 100, 12, nil, "mimic", "--offline", "--log", "a.fill", "--for", "3h", "--rate", "100")
	s.until(t, "recording a.fill: ")
	s.until(t, "%, done in about 0:")
	if code := s.end(t); code != codeDone {
		t.Errorf("exit code %d, want %d", code, codeDone)
	}
	if left := s.vt.String(); strings.Contains(left, "%") || !strings.Contains(left, "frames of an invented fill") {
		t.Errorf("the progress is left behind:\n%s", left)
	}
}
