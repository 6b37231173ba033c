package wire

import (
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fillwright/internal/must"
)

func readme(t *testing.T) string {
	t.Helper()
	text := must.Get(os.ReadFile(filepath.Join(firmwareDir, "README.md")))(t)
	return string(text)
}

// The frame worked by hand in the protocol's page is what the encoder makes.
func TestReadmeWorkedFrame(t *testing.T) {
	frame := AppendSample(nil, 5, &Sample{TimeMS: 1000, N: 2, Values: [ChannelMost]int32{410, ValueMissing}})
	want := strings.ToLower(strings.TrimSpace(strings.ReplaceAll(fmt.Sprintf("% x", frame), "  ", " ")))
	text := readme(t)
	must.Be(t, strings.Contains(text, "\n"+want+"\n"), "the page does not have %s", want)
	for _, v := range readVectors(t) {
		must.Be(t, v.name != "sample-worked" || v.wire == hex.EncodeToString(frame), "the vectors have %s, want %x", v.wire, frame)
	}
}

// Every frame type stands in the page's table with its number and name, and
// every limit as it is in the code.
func TestReadmeTypesAndLimits(t *testing.T) {
	text := readme(t)
	for kind := range typeNames {
		row := fmt.Sprintf("\n| 0x%02x | %v |", uint8(kind), kind)
		must.Be(t, strings.Contains(text, row), "the page does not have the row %q", row)
	}
	for _, limit := range []string{
		fmt.Sprintf("| n | channels, 0 to %d |", ChannelMost),
		fmt.Sprintf("| 2 | 0 to %d | body |", BodyMost),
		fmt.Sprintf("4 to %d bytes", ContentMost),
		fmt.Sprintf("%d bytes + %d a channel", helloSize, channelSize),
		fmt.Sprintf("n, bytes of data, 0 to %d |", TextPartMost),
		fmt.Sprintf("n, bytes of text, 0 to %d |", EntryTextMost),
		fmt.Sprintf("written every %d ms", SilenceEveryMS),
		fmt.Sprintf("A line is at most %d bytes long", LineMost),
		ExampleHeader,
	} {
		must.Be(t, strings.Contains(text, limit), "the page does not have %q", limit)
	}
	for suffix := range units {
		must.Be(t, strings.Contains(text, "`_"+suffix+"`"), "the page does not have the unit _%s", suffix)
	}
}

// The page's text lines are read without a complaint.
func TestReadmeTextLines(t *testing.T) {
	_, block, _ := strings.Cut(readme(t), "```\n"+ExampleHeader)
	block, _, _ = strings.Cut(block, "```")
	d := TextLines{Aligned: true}
	got := lines(t, &d, ExampleHeader+block)
	must.Be(t, len(got) == 4 && d.Problem() == nil && strings.Contains(got[3], "values=1640;missing;24125"), "%q, %v", got, d.Problem())
}

// The page's logger compiles without a warning.
func TestReadmeLoggerCompiles(t *testing.T) {
	_, block, _ := strings.Cut(readme(t), "```c\n")
	block, _, ok := strings.Cut(block, "```")
	must.Need(t, ok, "the page has no C in it")
	source := filepath.Join(t.TempDir(), "logger.c")
	must.Do(t, os.WriteFile(source, []byte(block), 0o600))
	out, err := exec.Command(compiler(t), "-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-Wconversion",
		"-I", firmwareDir, "-fsyntax-only", source).CombinedOutput()
	must.Be(t, err == nil, "%v\n%s", err, out)
}
