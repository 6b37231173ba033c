package screen

import (
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"

	"fillwright/internal/plaintext"
)

// span is a piece of a row in one role.
type span struct {
	role role
	text string
}

// row is one line of the picture before it is painted. Every rune in it is
// one cell wide; clean sees to that for text from outside.
type row []span

// rowOf starts a row.
func rowOf(r role, text string) row { return row{{r, text}} }

// add returns the row with a piece more.
func (r row) add(ro role, text string) row { return append(r, span{ro, text}) }

// width is the number of cells.
func (r row) width() int {
	n := 0
	for _, s := range r {
		n += cells(s.text)
	}
	return n
}

// fit cuts or pads the row to exactly w cells.
func (r row) fit(w int) row {
	out := make(row, 0, len(r)+1)
	left := max(w, 0)
	for _, s := range r {
		n := cells(s.text)
		if n > left {
			s.text = firstCells(s.text, left)
			n = left
		}
		left -= n
		if n > 0 {
			out = append(out, s)
		}
	}
	if left > 0 {
		out = append(out, span{roleText, strings.Repeat(" ", left)})
	}
	return out
}

// cut is the row in at most w cells; more shows that it was longer.
func (r row) cut(w int, more string) row {
	if r.width() <= w {
		return r
	}
	last := r[len(r)-1].role
	return r.fit(max(w-cells(more), 0)).add(last, more)
}

// flush sets right at the right edge of w cells; left gives way.
func (r row) flush(right row, w int) row {
	n := right.width()
	if n >= w {
		return right.fit(w)
	}
	return append(r.fit(w-n), right...)
}

// all gives every piece of the row the same role: a band across the screen.
func (r row) all(ro role) row {
	out := make(row, len(r))
	for i, s := range r {
		out[i] = span{ro, s.text}
	}
	return out
}

// paint writes the row with its inks.
func (r row) paint(b *strings.Builder, p *palette) {
	b.WriteString(p.base)
	for _, s := range r {
		b.WriteString(p.ink(s.role, s.text))
	}
	if p.base != "" {
		b.WriteString(p.end)
	}
}

// cells counts the cells of clean text.
func cells(s string) int { return utf8.RuneCountInString(s) }

// firstCells is the first n cells of clean text.
func firstCells(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}

// left pads s with blanks on its right to w cells, or cuts it there.
func left(s string, w int) string {
	n := cells(s)
	if n > w {
		return firstCells(s, max(w, 0))
	}
	return s + strings.Repeat(" ", w-n)
}

// right pads s with blanks on its left to w cells. It never cuts: half a
// number is worse than a shifted one.
func right(s string, w int) string {
	if n := cells(s); n < w {
		return strings.Repeat(" ", w-n) + s
	}
	return s
}

// plainer turns the signs of our own texts into ASCII.
var plainer = strings.NewReplacer("°C", "C", "°F", "F", "°", "", "±", "+-", "−", "-", "–", "-",
	"—", "-", "…", "...", "·", "-", "→", "->", "≥", ">=", "≤", "<=", "×", "x", "ρ", "rho", "’", "'")

// clean makes text from outside (names, reasons, remarks) safe to draw: no
// control characters, nothing that is not one cell wide, and ASCII on demand.
func clean(s string, ascii bool) string {
	if ascii {
		s = plainer.Replace(s)
	}
	return strings.Map(func(r rune) rune {
		if ascii && r > '~' || cellWidth(r) != 1 {
			return plaintext.Stand
		}
		return r
	}, plaintext.Line(s))
}

var narrow = &runewidth.Condition{EastAsianWidth: false}

func cellWidth(r rune) int { return narrow.RuneWidth(r) }

// wrap breaks clean text at blanks into at most n lines of w cells; what does
// not fit ends in more (a sign for "there is more").
func wrap(s string, w, n int, more string) []string {
	var lines []string
	words := glued(strings.Fields(s))
	line := ""
	for i, word := range words {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if cells(joined) <= w {
			line = joined
			continue
		}
		if len(lines)+1 >= n || line == "" {
			return append(lines, cutWith(strings.TrimSpace(line+" "+strings.Join(words[i:], " ")), w, more))
		}
		lines, line = append(lines, cutWith(line, w, more)), word
	}
	if line != "" {
		lines = append(lines, cutWith(line, w, more))
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

// cutWith cuts clean text to w cells and shows that it did.
func cutWith(s string, w int, more string) string {
	if cells(s) <= w {
		return s
	}
	return firstCells(s, max(w-cells(more), 0)) + firstCells(more, max(w, 0))
}
