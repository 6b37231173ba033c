package bath

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"fillwright/internal/plaintext"
)

// role is what a piece of text is for.
type role uint8

const (
	plain role = iota
	strong
	caution // be ready to act (yellow after IEC 60073), always with a word
	danger  // act (red after IEC 60073), always with a word
	roles
)

// palette holds ready escape sequences; nothing in it is built while drawing.
type palette struct {
	on  [roles]string
	end string
}

// newPalette builds the sequences for a depth: colours, bold and reverse only,
// or nothing.
func newPalette(colours, styles bool) *palette {
	p := &palette{}
	if !styles {
		return p
	}
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI)
	bold := r.NewStyle().Bold(true)
	list := [roles]lipgloss.Style{r.NewStyle(), bold, bold, bold.Reverse(true)}
	if colours {
		list[caution] = bold.Foreground(lipgloss.Color("0")).Background(lipgloss.Color("11"))
		list[danger] = bold.Foreground(lipgloss.Color("15")).Background(lipgloss.Color("1"))
	}
	for i := range list {
		p.on[i], _, _ = strings.Cut(list[i].Render("x"), "x")
	}
	p.end = "\x1b[0m"
	return p
}

// span is a piece of a line in one role.
type span struct {
	role role
	text string
}

type line []span

func text(s string) line         { return line{{plain, s}} }
func in(r role, s string) line   { return line{{r, s}} }
func (l line) and(m line) line   { return append(append(line(nil), l...), m...) }
func (l line) add(s string) line { return l.and(text(s)) }
func (p *palette) ink(s span) string {
	if p.on[s.role] == "" || s.text == "" {
		return s.text
	}
	return p.on[s.role] + s.text + p.end
}

// draw is the line in at most w cells.
func (p *palette) draw(l line, w int, more string) string {
	var b strings.Builder
	for _, s := range l {
		if w <= 0 {
			break
		}
		if s.text = plaintext.Line(s.text); ansi.StringWidth(s.text) > w {
			s.text = ansi.Truncate(s.text, w, more)
		}
		w -= ansi.StringWidth(s.text)
		b.WriteString(p.ink(s))
	}
	return b.String()
}

// padded fills s up to cells, or cuts it.
func padded(s string, cells int) string {
	if n := ansi.StringWidth(s); n < cells {
		return s + strings.Repeat(" ", cells-n)
	}
	return ansi.Truncate(s, cells, "")
}

// right sets s flush right in cells.
func right(s string, cells int) string {
	if n := ansi.StringWidth(s); n < cells {
		return strings.Repeat(" ", cells-n) + s
	}
	return ansi.Truncate(s, cells, "")
}

// signs are the glyphs of the screen, each one cell wide.
type signs struct {
	full, empty, more, plusMinus string
	spark                        []rune
}

var (
	unicodeSigns = signs{"█", "░", "…", "±", []rune("▁▂▃▄▅▆▇█")}
	asciiSigns   = signs{"#", ".", "~", "+-", []rune("_.-=+*#@")}
)

// ascii replaces the few other signs that the texts use.
var toASCII = strings.NewReplacer("°C", "C", "°F", "F", "±", "+-", "−", "-", "–", "-", "…", "~", "µ", "u", "²", "2", "·", ",")
