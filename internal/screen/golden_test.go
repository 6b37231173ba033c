package screen

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
	"fillwright/internal/screen/canvas"
)

// sizes are those that the screen is made for.
var sizes = [...][2]int{{60, 20}, {80, 24}, {100, 30}, {140, 40}, {200, 60}}

// golden compares got with a file, or writes it with -update.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", filepath.FromSlash(name)+".golden")
	if *update {
		must.Do(t, os.MkdirAll(filepath.Dir(file), 0o755))
		must.Do(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got; go test -update writes it anew):\n%s", file, diff)
	}
}

// trimmed leaves out the blanks at the ends of lines, for files that people read.
func trimmed(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}

// TestGoldenPictures holds every situation at every size, as monochrome text.
func TestGoldenPictures(t *testing.T) {
	for _, sit := range situations() {
		for _, size := range sizes {
			name := fmt.Sprintf("%s/%dx%d", sit.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1])
				golden(t, name, trimmed(m.picture().String()))
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
				golden(t, name, strings.ReplaceAll(m.picture().String(), "\x1b", "␛")+"\n")
			})
		}
		t.Run(sit.name+"/80x24-mono", func(t *testing.T) {
			m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthMono}, 80, 24)
			golden(t, sit.name+"/80x24-mono", strings.ReplaceAll(m.picture().String(), "\x1b", "␛")+"\n")
		})
		t.Run(sit.name+"/80x24-ascii", func(t *testing.T) {
			m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone, ASCII: true}, 80, 24)
			golden(t, sit.name+"/80x24-ascii", trimmed(m.picture().String()))
		})
	}
}
