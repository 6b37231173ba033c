package canvas

import "strings"

// Glyphs is the set of signs the screen draws with.
type Glyphs struct {
	ASCII               bool
	PlusMinus           string
	More                string // text was cut
	Abort, AbortOff     string // shapes of the levels; Off is the dark half of a flash
	Caution, Advisory   string
	Past                string // shape of an alarm that is over, whatever its level
	Here                string // points at the hottest station
	Full, Empty, Target string // bar
	Big                 Ink
}

var unicodeGlyphs = Glyphs{
	PlusMinus: "±", More: "…",
	Abort: "■", AbortOff: "□", Caution: "▲", Advisory: "●", Past: "○", Here: "◄",
	Full: "█", Empty: "░", Target: "│",
	Big: Ink{both: "█", upper: "▀", lower: "▄"},
}

var asciiGlyphs = Glyphs{
	ASCII: true, PlusMinus: "+-", More: "~",
	Abort: "#", AbortOff: "-", Caution: "!", Advisory: "i", Past: "o", Here: "<",
	Full: "#", Empty: ".", Target: "|",
	Big: Ink{both: "#", Segments: true},
}

func GlyphsFor(ascii bool) *Glyphs {
	if ascii {
		return &asciiGlyphs
	}
	return &unicodeGlyphs
}

// Ink is what the dots of large letters are made of: a cell whose two dots
// are set, or only its upper or lower one. ASCII has no half cells: there,
// numbers three rows high are made of segments, and words stay plain.
type Ink struct {
	both, upper, lower string
	Segments           bool
}

// bigSegments are the signs of numbers, three rows high, in ASCII.
var bigSegments = map[rune][3]string{
	'0': {" _ ", "| |", "|_|"}, '1': {"   ", "  |", "  |"}, '2': {" _ ", " _|", "|_ "},
	'3': {" _ ", " _|", " _|"}, '4': {"   ", "|_|", "  |"}, '5': {" _ ", "|_ ", " _|"},
	'6': {" _ ", "|_ ", "|_|"}, '7': {" _ ", "  |", "  |"}, '8': {" _ ", "|_|", "|_|"},
	'9': {" _ ", "|_|", " _|"}, '-': {"   ", " __", "   "}, '.': {" ", " ", "o"},
	'?': {" _ ", " _]", " o "}, '>': {"   ", " > ", "   "}, ' ': {"   ", "   ", "   "},
}

// segmentText draws a number of segments; ok is false for other texts.
func segmentText(text string) (lines []string, ok bool) {
	lines = make([]string, 3)
	for i, r := range []rune(text) {
		sign, known := bigSegments[r]
		if !known {
			return nil, false
		}
		for y := range lines {
			if i > 0 {
				lines[y] += " "
			}
			lines[y] += sign[y]
		}
	}
	return lines, true
}

const bigDots = 5 // dots that a large letter is high

// bigLetters is a drawing of our own: five dots high, as wide as it needs.
var bigLetters = map[rune][bigDots]string{
	'0': {"###", "# #", "# #", "# #", "###"},
	'1': {" # ", "## ", " # ", " # ", "###"},
	'2': {"###", "  #", "###", "#  ", "###"},
	'3': {"###", "  #", " ##", "  #", "###"},
	'4': {"# #", "# #", "###", "  #", "  #"},
	'5': {"###", "#  ", "###", "  #", "###"},
	'6': {"###", "#  ", "###", "# #", "###"},
	'7': {"###", "  #", "  #", " # ", " # "},
	'8': {"###", "# #", "###", "# #", "###"},
	'9': {"###", "# #", "###", "  #", "###"},
	'-': {"   ", "   ", "###", "   ", "   "},
	'.': {" ", " ", " ", " ", "#"},
	' ': {"   ", "   ", "   ", "   ", "   "},
	'?': {"###", "  #", " ##", "   ", " # "},
	'>': {"#  ", " # ", "  #", " # ", "#  "},
	'A': {" ## ", "#  #", "####", "#  #", "#  #"},
	'B': {"### ", "#  #", "### ", "#  #", "### "},
	'C': {" ###", "#   ", "#   ", "#   ", " ###"},
	'D': {"### ", "#  #", "#  #", "#  #", "### "},
	'E': {"####", "#   ", "### ", "#   ", "####"},
	'F': {"####", "#   ", "### ", "#   ", "#   "},
	'G': {" ###", "#   ", "# ##", "#  #", " ###"},
	'H': {"#  #", "#  #", "####", "#  #", "#  #"},
	'I': {"#", "#", "#", "#", "#"},
	'K': {"#  #", "# # ", "##  ", "# # ", "#  #"},
	'L': {"#  ", "#  ", "#  ", "#  ", "###"},
	'M': {"#   #", "## ##", "# # #", "#   #", "#   #"},
	'N': {"#  #", "## #", "# ##", "#  #", "#  #"},
	'O': {" ## ", "#  #", "#  #", "#  #", " ## "},
	'P': {"### ", "#  #", "### ", "#   ", "#   "},
	'R': {"### ", "#  #", "### ", "# # ", "#  #"},
	'S': {" ###", "#   ", " ## ", "   #", "### "},
	'T': {"###", " # ", " # ", " # ", " # "},
	'U': {"#  #", "#  #", "#  #", "#  #", " ## "},
	'V': {"#   #", "#   #", " # # ", " # # ", "  #  "},
	'W': {"#   #", "#   #", "# # #", "## ##", "#   #"},
	'Y': {"# #", "# #", " # ", " # ", " # "},
}

// BigSize is how large a text is drawn.
type BigSize struct {
	Rows int // 3: two dots a row; 5: one dot a row
	wide int // cells a dot
}

var (
	BigThree     = BigSize{3, 1}
	BigThreeWide = BigSize{3, 2}
	BigFive      = BigSize{5, 1}
	BigFiveWide  = BigSize{5, 2}
)

// BigWidth is the number of cells that text takes in size, without a gap at
// its end.
func BigWidth(text string, size BigSize) int {
	n := 0
	for _, r := range text {
		n += (len(bigLetters[r][0]) + 1) * size.wide
	}
	return max(n-size.wide, 0)
}

// BigText draws text as size.rows lines of equal width. Runes without a
// drawing are left out; TestBigLetters holds every text of ours against that.
func BigText(text string, size BigSize, ink Ink) []string {
	if ink.Segments && size == BigThree {
		if lines, ok := segmentText(text); ok {
			return lines
		}
	}
	dots := make([]string, bigDots+1) // a blank line first, for the odd half: off the window's edge
	for i, r := range []rune(text) {
		letter, ok := bigLetters[r]
		if !ok {
			continue
		}
		for y := range letter {
			if i > 0 {
				dots[y+1] += " "
			}
			dots[y+1] += letter[y]
		}
	}
	dots[0] = strings.Repeat(" ", len(dots[1]))
	lines := make([]string, size.Rows)
	for y := range lines {
		lines[y] = dotLine(dots, y, size, ink)
	}
	return lines
}

// dotLine turns one or two lines of dots into a line of cells.
func dotLine(dots []string, y int, size BigSize, ink Ink) string {
	var b strings.Builder
	upper, lower := dots[y+1], dots[y+1]
	if size.Rows == 3 {
		upper, lower = dots[2*y], dots[2*y+1]
	}
	for x := range upper {
		cell := " "
		switch up, low := upper[x] == '#', lower[x] == '#'; {
		case up && low:
			cell = ink.both
		case up:
			cell = ink.upper
		case low:
			cell = ink.lower
		}
		b.WriteString(strings.Repeat(cell, size.wide))
	}
	return b.String()
}
