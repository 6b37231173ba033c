package columns

import (
	"slices"
	"testing"

	"fillwright/internal/must"
)

// Columns are as wide as their widest cell, counted in characters, and no line
// ends in blanks.
func TestTable(t *testing.T) {
	got := Table("  ", [][]string{{"fill", "peak", "why"}, {"Füll", "", ""}, {"a", "52.0 °C", "hot"}})
	want := "  fill  peak     why\n  Füll\n  a     52.0 °C  hot\n"
	must.Be(t, got == want, "%q, want %q", got, want)
}

// Lines are broken between words, never in them; no text is one empty line.
func TestWrap(t *testing.T) {
	for text, want := range map[string][]string{
		"one two  three": {"one two", "three"}, "é é é é é": {"é é é é", "é"}, "unbreakable a": {"unbreakable", "a"}, "": {""},
	} {
		got := Wrap(text, 7)
		must.Be(t, slices.Equal(got, want), "%q, want %q", got, want)
	}
}
