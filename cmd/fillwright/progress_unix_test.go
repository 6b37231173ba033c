//go:build unix

package main

import (
	"strings"
	"testing"

	"fillwright/internal/must"
)

// TestProgressOnTerminal proves that work that takes long says on a terminal how
// far it is and when it will be done, and that nothing of that is left behind.
func TestProgressOnTerminal(t *testing.T) {
	s := start(t, 100, 12, nil, "mimic", "--offline", "--log", "a.fill", "--for", "3h", "--rate", "100")
	s.until(t, "recording a.fill: ")
	s.until(t, "%, done in about 0:")
	must.Equal(t, s.end(t), codeDone, "exit code")
	left := s.vt.String()
	must.Be(t, !strings.Contains(left, "%") && strings.Contains(left, "frames of an invented fill"), "the progress is left behind:\n%s", left)
}
