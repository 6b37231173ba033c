package screen

import (
	"encoding/xml"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/screen/canvas"
)

// The pictures of the README are the golden situations, drawn as SVG: the same
// rows, cell by cell. `go test ./internal/screen -run Readme -update` writes
// them anew; without -update the test says when they are stale.

// readmePictures are those at the head of the README, with what they show.
var readmePictures = [...]struct{ situation, title string }{
	{"ready", "Before the fill: the verdict, what it rests on, and the list to go through"},
	{"filling", "Filling: how fast it may go on, what is left to onset, and what follows if the supply is shut now"},
	{"abort-stop", "An abort: shut the supply now"},
	{"replay", "A recorded fill, replayed on the same screen"},
}

const (
	readmeW, readmeH = 100, 30   // cells
	cellW, cellH     = 8.0, 17.0 // px; a letter of 13.3 px is 8 px wide in most fonts of one width
	svgEdge          = 10.0
	baseline         = 13.0 // of the letters in a cell
)

// svgInk is a role's ink and ground, #rrggbb; no ground: the page's.
type svgInk struct {
	ink, ground string
	bold        bool
}

// svgLooks are the two sets of colours, for a light and a dark page. Caution
// and abort carry their own ground in both, as on the terminal.
var svgLooks = [...]struct {
	ground, frame string
	inks          [canvas.Roles]svgInk
}{
	{"#fbfbf8", "#767676", [canvas.Roles]svgInk{{"#1c1c1c", "", false}, {"#444444", "", false}, {"#000000", "", true}, {"#1c1c1c", "", false},
		{"#000000", "#ffd70f", true}, {"#ffffff", "#b30000", true}}},
	{"#12161b", "#8a8a8a", [canvas.Roles]svgInk{{"#d8dce0", "", false}, {"#b4bac2", "", false}, {"#ffffff", "", true}, {"#d8dce0", "", false},
		{"#000000", "#ffd70f", true}, {"#ffffff", "#b30000", true}}},
}

// svgOf draws rows of w cells.
func svgOf(rows []canvas.Row, w int, title string) string {
	var b strings.Builder
	width, height := float64(w)*cellW+2*svgEdge, float64(len(rows))*cellH+2*svgEdge
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %g %g\" width=\"%g\" height=\"%g\" role=\"img\">\n", width, height, width, height)
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>An invented moment of a fill of the invented vessel Plover.</desc>\n", html.EscapeString(title))
	b.WriteString(svgStyle())
	fmt.Fprintf(&b, "<rect class=\"page\" x=\"0.5\" y=\"0.5\" width=\"%g\" height=\"%g\" rx=\"6\"/>\n", width-1, height-1)
	for _, draw := range []func(*strings.Builder, canvas.Span, float64, float64){svgGround, svgSpan} { // all grounds lie under all words
		for y, r := range rows {
			x := 0
			for _, s := range r {
				draw(&b, s, svgEdge+float64(x)*cellW, svgEdge+float64(y)*cellH)
				x += canvas.Cells(s.Text)
			}
		}
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// svgStyle is the two looks as a style sheet.
func svgStyle() string {
	var b strings.Builder
	b.WriteString("<style>\ntext{font:13.3px ui-monospace,\"DejaVu Sans Mono\",Menlo,Consolas,monospace;white-space:pre}\n")
	for i, l := range svgLooks {
		if i > 0 {
			b.WriteString("@media (prefers-color-scheme:dark){\n")
		}
		fmt.Fprintf(&b, ".page{fill:%s;stroke:%s}\n", l.ground, l.frame)
		for r, k := range l.inks {
			bold := ""
			if k.bold {
				bold = ";font-weight:bold"
			}
			fmt.Fprintf(&b, ".i%d{fill:%s%s}\n", r, k.ink, bold)
			if k.ground != "" {
				fmt.Fprintf(&b, ".g%d{fill:%s}\n", r, k.ground)
			}
		}
		if i > 0 {
			b.WriteString("}\n")
		}
	}
	b.WriteString("</style>\n")
	return b.String()
}

// svgGround draws what lies under a piece of a row.
func svgGround(b *strings.Builder, s canvas.Span, left, top float64) {
	if svgLooks[0].inks[s.Role].ground != "" {
		fmt.Fprintf(b, "<rect class=\"g%d\" x=\"%g\" y=\"%g\" width=\"%g\" height=\"%g\"/>\n", s.Role, left, top, float64(canvas.Cells(s.Text))*cellW, cellH)
	}
}

// svgSpan draws a piece of a row: its signs as shapes, so that large letters
// have no gaps in any font, and its words.
func svgSpan(b *strings.Builder, s canvas.Span, left, top float64) {
	words := []rune(s.Text)
	for i, r := range words {
		if svgSign(b, r, s.Role, left+float64(i)*cellW, top) {
			words[i] = ' '
		}
	}
	for i := 0; i < len(words); {
		if words[i] == ' ' {
			i++
			continue
		}
		end := i
		for end < len(words) && !(words[end] == ' ' && (end+1 == len(words) || words[end+1] == ' ')) {
			end++
		}
		text := string(words[i:end])
		fmt.Fprintf(b, "<text class=\"i%d\" x=\"%g\" y=\"%g\" textLength=\"%g\" lengthAdjust=\"spacingAndGlyphs\">%s</text>\n",
			s.Role, left+float64(i)*cellW, top+baseline, float64(end-i)*cellW, html.EscapeString(text))
		i = end
	}
}

// svgSign draws a sign as a shape; false: it is a letter.
func svgSign(b *strings.Builder, r rune, ro canvas.Role, x, y float64) bool {
	rect := func(dx, dy, w, h float64, more string) {
		fmt.Fprintf(b, "<rect class=\"i%d\" x=\"%g\" y=\"%g\" width=\"%g\" height=\"%g\"%s/>\n", ro, x+dx, y+dy, w, h, more)
	}
	shape := func(points string, at ...any) {
		fmt.Fprintf(b, "<polygon class=\"i%d\" points=\""+points+"\"/>\n", append([]any{ro}, at...)...)
	}
	const half = cellH / 2
	switch r {
	case '█':
		rect(0, 0, cellW, cellH, "")
	case '▀':
		rect(0, 0, cellW, half, "")
	case '▄':
		rect(0, half, cellW, half, "")
	case '░':
		rect(0, 0, cellW, cellH, ` fill-opacity="0.25"`)
	case '│':
		rect(cellW/2-0.75, 0, 1.5, cellH, "")
	case '─':
		rect(0, half-0.5, cellW, 1, "")
	case '━':
		rect(0, half-1, cellW, 2, "")
	case '╌':
		rect(1, half-0.5, 2, 1, "")
		rect(5, half-0.5, 2, 1, "")
	case '■':
		rect(0.5, half-3.5, 7, 7, "")
	case '▲':
		shape("%g,%g %g,%g %g,%g", x+4, y+half-4, x+8, y+half+4, x, y+half+4)
	case '◄':
		shape("%g,%g %g,%g %g,%g", x, y+half, x+8, y+half-4, x+8, y+half+4)
	case '●':
		fmt.Fprintf(b, "<circle class=\"i%d\" cx=\"%g\" cy=\"%g\" r=\"3.5\"/>\n", ro, x+4, y+half)
	default:
		return false
	}
	return true
}

// TestReadmePictures proves that the pictures at the head of the README are of
// the screen as it is now, that they are well formed, and that the README shows
// each of them.
func TestReadmePictures(t *testing.T) {
	const root = "../.."
	readme := must.Get(os.ReadFile(filepath.Join(root, "README.md")))(t)
	for _, p := range readmePictures {
		file := "testdata/pictures/" + p.situation + ".svg"
		m := modelIn(situationNamed(t, p.situation), newFakeFeed(), Options{}, readmeW, readmeH)
		got := svgOf(m.picture().lines(), readmeW, p.title)
		err := xml.Unmarshal([]byte(got), new(struct{ XMLName xml.Name }))
		must.Be(t, err == nil, "%s is not well formed: %v", file, err)
		must.Be(t, strings.Contains(string(readme), "]("+file+")"), "the README does not show %s", file)
		must.File(t, filepath.Join(root, file), got, *update)
	}
}

// TestReadmePicturesCanBeRead proves that on a light page and on a dark one each
// ink stands off its ground by 4.5 to 1 at least, and the frame off any page by
// 3 to 1 or the picture's own ground does (contrast after WCAG 2, success
// criteria 1.4.3 and 1.4.11; numbers and formula from memory). The formula is
// held against its two ends: black on white has 21, a colour on itself 1.
func TestReadmePicturesCanBeRead(t *testing.T) {
	a, b := contrast("#000000", "#ffffff"), contrast("#777777", "#777777")
	must.Need(t, math.Abs(a-21) <= 1e-9 && b == 1, "the formula gives %g and %g", a, b)
	for i, l := range svgLooks {
		for r, k := range l.inks {
			ground := k.ground
			if ground == "" {
				ground = l.ground
			}
			c := contrast(k.ink, ground)
			must.Be(t, c >= 4.5, "look %d, role %d: %s on %s has %.1f to 1", i, r, k.ink, ground, c)
		}
		for _, page := range []string{"#ffffff", "#000000", "#0d1117"} {
			c := contrast(l.frame, page)
			must.Be(t, c >= 3, "look %d: the frame has %.1f to 1 on a page of %s", i, c, page)
		}
	}
}

// contrast is the ratio of the relative luminances of two colours.
func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func luminance(colour string) float64 {
	var rgb [3]uint8
	if _, err := fmt.Sscanf(colour, "#%02x%02x%02x", &rgb[0], &rgb[1], &rgb[2]); err != nil {
		return math.NaN()
	}
	sum := 0.0
	for i, weight := range [...]float64{0.2126, 0.7152, 0.0722} {
		c := float64(rgb[i]) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
