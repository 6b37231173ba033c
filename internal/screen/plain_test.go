package screen

import (
	"strings"
	"testing"

	"fillwright/internal/lines"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// TestPlainLines holds the plain line of every situation, in one file, and
// each is one line without control characters.
func TestPlainLines(t *testing.T) {
	var all strings.Builder
	for _, sit := range situations() {
		for u := quantity.SystemBarC; u <= quantity.SystemKPaC; u++ {
			line := lines.PlainLine(*sit.last(), u)
			must.Be(t, !strings.ContainsAny(line, "\n\r\x1b") && !strings.Contains(line, "NaN"), "%s: %q", sit.name, line)
			all.WriteString(sit.name + ": " + line + "\n")
		}
		for _, a := range sit.last().Alarms {
			all.WriteString(sit.name + ": " + lines.PlainAlarm(a, quantity.SystemBarC) + "\n")
		}
	}
	must.Golden(t, "plain-lines", all.String(), *update)
}
