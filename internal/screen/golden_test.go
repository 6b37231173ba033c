package screen

import (
	"fmt"
	"strings"
	"testing"

	"fillwright/internal/lines"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// sizes are those that the screen is made for.
var sizes = [...][2]int{{60, 20}, {80, 24}, {100, 30}, {140, 40}, {200, 60}}

// TestGoldenPictures holds every situation at every size, as monochrome text.
func TestGoldenPictures(t *testing.T) {
	for _, sit := range situations() {
		for _, size := range sizes {
			name := fmt.Sprintf("%s/%dx%d", sit.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1])
				must.Golden(t, name, must.Trimmed(m.picture().String()), *update)
			})
		}
	}
}

// TestGoldenLooks holds every situation in every look, with its escape
// sequences made visible, and in ASCII.
func TestGoldenLooks(t *testing.T) {
	for _, sit := range situations() {
		for l := range canvas.Looks {
			name := sit.name + "/80x24-" + l.String()
			t.Run(name, func(t *testing.T) {
				m := modelIn(sit, newFakeFeed(), Options{Look: l}, 80, 24)
				must.Golden(t, name, strings.ReplaceAll(m.picture().String(), "\x1b", "␛")+"\n", *update)
			})
		}
		t.Run(sit.name+"/80x24-mono", func(t *testing.T) {
			m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthMono}, 80, 24)
			must.Golden(t, sit.name+"/80x24-mono", strings.ReplaceAll(m.picture().String(), "\x1b", "␛")+"\n", *update)
		})
		t.Run(sit.name+"/80x24-ascii", func(t *testing.T) {
			m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone, ASCII: true}, 80, 24)
			must.Golden(t, sit.name+"/80x24-ascii", must.Trimmed(m.picture().String()), *update)
		})
	}
}

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
