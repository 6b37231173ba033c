package canvas

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Look is a fixed set of colours for the light the operator stands in.
type Look uint8

// The looks, in the order in which the key cycles through them.
const (
	LookPlain Look = iota // the terminal's own colours
	LookSun               // black on white, bold: bright sun
	LookNight             // dim on black: keeps the eyes adapted
	Looks
)

var lookNames = [Looks]string{"plain", "sun", "night"}

// String is the name shown beside the key.
func (l Look) String() string { return lookNames[l] }

// Depth is how much styling the terminal can show.
type Depth uint8

// The depths.
const (
	DepthColour Depth = iota // 16 colours
	DepthMono                // bold and reverse only: NO_COLOR
	DepthNone                // no styling at all: TERM=dumb
)

// DepthOf chooses the depth from the environment (https://no-color.org).
func DepthOf(getenv func(string) string) Depth {
	switch {
	case getenv("TERM") == "dumb" || getenv("TERM") == "":
		return DepthNone
	case getenv("NO_COLOR") != "" || getenv("TERM") == "vt100" || getenv("TERM") == "vt220":
		return DepthMono
	}
	return DepthColour
}

// WantsASCII says whether the locale can't be relied on for other glyphs.
func WantsASCII(getenv func(string) string) bool {
	for _, key := range [...]string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := getenv(key); v != "" {
			v = strings.ToLower(v)
			return !strings.Contains(v, "utf-8") && !strings.Contains(v, "utf8")
		}
	}
	return true
}

// Role is what a piece of text is for; the palette decides how that looks.
type Role uint8

const (
	Text    Role = iota
	Label        // names of things: quieter than values
	Strong       // the values that matter most
	Old          // a value that is not fresh
	Caution      // yellow after IEC 60073: be ready to act
	Abort        // red after IEC 60073: act at once
	Roles
)

// Palette holds the ready escape sequences of one look. Nothing in it is
// built while drawing.
type Palette struct {
	base string // in force between the inks, starts each line
	on   [Roles]string
	end  string
}

// NewPalette builds the sequences of a look once, by lipgloss.
func NewPalette(l Look, d Depth) *Palette {
	p := &Palette{}
	if d == DepthNone {
		return p
	}
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI)
	r.SetHasDarkBackground(true)
	styles := lookStyles(r, l, d)
	p.end = "\x1b[0m"
	p.base = opening(styles[Text])
	for i := range styles {
		if on := opening(styles[i]); on != p.base {
			p.on[i] = on
		}
	}
	return p
}

// opening is the sequence that a style writes before its text.
func opening(s lipgloss.Style) string {
	before, _, _ := strings.Cut(s.Render("x"), "x")
	return before
}

// lookStyles is the table of the looks. Caution and abort carry a background,
// so that they stand out on any ground; monochrome has bold and reverse.
func lookStyles(r *lipgloss.Renderer, l Look, d Depth) [Roles]lipgloss.Style {
	plain := r.NewStyle()
	bold := plain.Bold(true)
	if d == DepthMono {
		return [Roles]lipgloss.Style{plain, plain, bold, plain, bold, bold.Reverse(true)}
	}
	fg := func(s lipgloss.Style, front, back string) lipgloss.Style {
		return s.Foreground(lipgloss.Color(front)).Background(lipgloss.Color(back))
	}
	caution, abort := fg(bold, "0", "11"), fg(bold, "15", "1")
	switch l {
	case LookSun:
		ink := fg(bold, "0", "15")
		return [Roles]lipgloss.Style{ink, fg(plain, "0", "15"), ink, fg(plain, "0", "15"), caution, abort}
	case LookNight:
		dim := fg(plain, "7", "0")
		return [Roles]lipgloss.Style{dim, fg(plain, "8", "0"), dim, dim, fg(plain, "0", "3"), fg(plain, "0", "1")}
	}
	return [Roles]lipgloss.Style{plain, plain, bold, plain, caution, abort}
}

// ink paints s in its role and goes back to the base.
func (p *Palette) ink(r Role, s string) string {
	if p.on[r] == "" || s == "" {
		return s
	}
	return p.on[r] + s + p.end + p.base
}
