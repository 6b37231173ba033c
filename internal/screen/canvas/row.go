package canvas

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"fillwright/internal/quantity"

	"github.com/mattn/go-runewidth"

	"fillwright/internal/plaintext"
)

// Span is a piece of a row in one role.
type Span struct {
	Role Role
	Text string
}

// SpanOf is a piece of text in a role.
func SpanOf(r Role, text string) Span { return Span{r, text} }

// Row is one line of the picture before it is painted. Every rune in it is
// one cell wide; clean sees to that for text from outside.
type Row []Span

// RowOf starts a row.
func RowOf(r Role, text string) Row { return Row{{r, text}} }

// Add returns the row with a piece more.
func (r Row) Add(ro Role, text string) Row { return append(r, Span{ro, text}) }

// Width is the number of cells.
func (r Row) Width() int {
	n := 0
	for _, s := range r {
		n += Cells(s.Text)
	}
	return n
}

// Fit cuts or pads the row to exactly w cells.
func (r Row) Fit(w int) Row {
	out := make(Row, 0, len(r)+1)
	left := max(w, 0)
	for _, s := range r {
		n := Cells(s.Text)
		if n > left {
			s.Text = FirstCells(s.Text, left)
			n = left
		}
		left -= n
		if n > 0 {
			out = append(out, s)
		}
	}
	if left > 0 {
		out = append(out, Span{Text, strings.Repeat(" ", left)})
	}
	return out
}

// Cut is the row in at most w cells; more shows that it was longer.
func (r Row) Cut(w int, more string) Row {
	if r.Width() <= w {
		return r
	}
	last := r[len(r)-1].Role
	return r.Fit(max(w-Cells(more), 0)).Add(last, more)
}

// Flush sets right at the right edge of w cells; left gives way.
func (r Row) Flush(right Row, w int) Row {
	n := right.Width()
	if n >= w {
		return right.Fit(w)
	}
	return append(r.Fit(w-n), right...)
}

// All gives every piece of the row the same role: a band across the screen.
func (r Row) All(ro Role) Row {
	out := make(Row, len(r))
	for i, s := range r {
		out[i] = Span{ro, s.Text}
	}
	return out
}

// Paint writes the row with its inks.
func (r Row) Paint(b *strings.Builder, p *Palette) {
	b.WriteString(p.base)
	for _, s := range r {
		b.WriteString(p.ink(s.Role, s.Text))
	}
	if p.base != "" {
		b.WriteString(p.end)
	}
}

// Cells counts the cells of clean text.
func Cells(s string) int { return utf8.RuneCountInString(s) }

// FirstCells is the first n cells of clean text.
func FirstCells(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}

// Left pads s with blanks on its right to w cells, or cuts it there.
func Left(s string, w int) string {
	n := Cells(s)
	if n > w {
		return FirstCells(s, max(w, 0))
	}
	return s + strings.Repeat(" ", w-n)
}

// Right pads s with blanks on its left to w cells. It never cuts: half a
// number is worse than a shifted one.
func Right(s string, w int) string {
	if n := Cells(s); n < w {
		return strings.Repeat(" ", w-n) + s
	}
	return s
}

// plainer turns the signs of our own texts into ASCII.
var plainer = strings.NewReplacer("°C", "C", "°F", "F", "°", "", "±", "+-", "−", "-", "–", "-",
	"—", "-", "…", "...", "·", "-", "→", "->", "≥", ">=", "≤", "<=", "×", "x", "ρ", "rho", "’", "'")

// Clean makes text from outside (names, reasons, remarks) safe to draw: no
// control characters, nothing that is not one cell wide, and ASCII on demand.
func Clean(s string, ascii bool) string {
	if ascii {
		s = plainer.Replace(s)
	}
	return strings.Map(func(r rune) rune {
		if ascii && r > '~' || CellWidth(r) != 1 {
			return plaintext.Stand
		}
		return r
	}, plaintext.Line(s))
}

var narrow = &runewidth.Condition{EastAsianWidth: false}

func CellWidth(r rune) int { return narrow.RuneWidth(r) }

// Wrap breaks clean text at blanks into at most n lines of w cells; what does
// not fit ends in more (a sign for "there is more").
func Wrap(s string, w, n int, more string) []string {
	var lines []string
	words := glued(strings.Fields(s))
	line := ""
	for i, word := range words {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if Cells(joined) <= w {
			line = joined
			continue
		}
		if len(lines)+1 >= n || line == "" {
			return append(lines, Cut(strings.TrimSpace(line+" "+strings.Join(words[i:], " ")), w, more))
		}
		lines, line = append(lines, Cut(line, w, more)), word
	}
	if line != "" {
		lines = append(lines, Cut(line, w, more))
	}
	return lines
}

// units that stay on the line of their number.
var units = map[string]bool{"°C": true, "°F": true, "C": true, "F": true, "bar": true, "psi": true, "kPa": true, "s": true,
	"min": true, "bar/min": true, "psi/min": true, "kPa/min": true, "g": true, "g/min": true}

// glued joins numbers with the units that follow them.
func glued(words []string) []string {
	out := words[:0]
	for _, word := range words {
		if n := len(out) - 1; n >= 0 && units[strings.TrimRight(word, ".,;:)")] {
			if before := out[n]; before[len(before)-1] >= '0' && before[len(before)-1] <= '9' {
				out[n] = before + " " + word
				continue
			}
		}
		out = append(out, word)
	}
	return out
}

// Cut cuts clean text to w cells and shows that it did.
func Cut(s string, w int, more string) string {
	if Cells(s) <= w {
		return s
	}
	return FirstCells(s, max(w-Cells(more), 0)) + FirstCells(more, max(w, 0))
}

// Whole prints a number without decimals, and no minus before a zero.
func Whole(x float64) string {
	x = math.Round(x)
	if x == 0 || math.IsNaN(x) {
		x = math.Abs(x)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Unknown
	}
	return strconv.FormatFloat(x, 'f', 0, 64)
}
