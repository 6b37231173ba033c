package canvas

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/must"
)

// TestBigLetters: every number can be drawn large, every sign is one cell
// wide, and all letters are as high and as even as they must be.
func TestBigLetters(t *testing.T) {
	for r, letter := range bigLetters {
		for _, line := range letter {
			must.Be(t, len(line) == len(letter[0]) && strings.Trim(line, "# ") == "", "letter %q has an odd line %q", r, line)
		}
	}
	for _, r := range "0123456789.-?>" {
		_, ok := bigLetters[r]
		must.Be(t, ok, "%q has no drawing", r)
	}
	for _, size := range []BigSize{BigThree, BigThreeWide, BigFive, BigFiveWide} {
		for _, line := range BigText("-12.3?", size, unicodeGlyphs.Big) {
			got := Cells(line)
			must.Be(t, got == BigWidth("-12.3?", size), "size %v: a line is %d wide, bigWidth says %d", size, got, BigWidth("-12.3?", size))
		}
	}
	for _, line := range BigText("-12.3?", BigThree, asciiGlyphs.Big) {
		must.Be(t, Cells(line) == BigWidth("-12.3?", BigThree), "segments are %d wide, bigWidth says %d", Cells(line), BigWidth("-12.3?", BigThree))
	}
}

// TestGlyphsAreOneCell: the width of each sign, by the same library that the
// terminal layer uses and by ansi's own table.
func TestGlyphsAreOneCell(t *testing.T) {
	for _, g := range []*Glyphs{&unicodeGlyphs, &asciiGlyphs} {
		for _, s := range []string{g.PlusMinus, g.More, g.Abort, g.AbortOff, g.Caution, g.Advisory, g.Here,
			g.Full, g.Empty, g.Target, g.Big.both, g.Big.upper, g.Big.lower} {
			for _, r := range s {
				must.Be(t, CellWidth(r) == 1 && ansi.StringWidth(string(r)) == 1, "%q is not one cell wide", r)
			}
		}
	}
}

// TestWrap: a number keeps its unit, long words are cut with a sign, and no
// line is too long.
func TestWrap(t *testing.T) {
	got := Wrap("inside the reserve of 5.0 °C. Ease off.", 25, 3, "…")
	want := []string{"inside the reserve of", "5.0 °C. Ease off."}
	must.Be(t, strings.Join(got, "|") == strings.Join(want, "|"), "%q, want %q", got, want)
	for w := 1; w < 40; w++ {
		for n := 1; n < 4; n++ {
			lines := Wrap("a wordthatislongerthananylinecouldbe and 12.0 bar/min more", w, n, "…")
			must.Be(t, len(lines) <= n, "%d lines, at most %d", len(lines), n)
			for _, line := range lines {
				must.Be(t, Cells(line) <= w, "%q is wider than %d", line, w)
			}
		}
	}
}
