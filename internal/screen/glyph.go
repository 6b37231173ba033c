package screen

import "strings"

// glyphs is the set of signs the screen draws with.
type glyphs struct {
	ascii               bool
	degree, plusMinus   string
	more                string // text was cut
	abort, abortOff     string // shapes of the levels; Off is the dark half of a flash
	caution, advisory   string
	past                string // shape of an alarm that is over, whatever its level
	good                string // shape of a sensor that is well
	here                string // points at the hottest station
	full, empty, target string // bar
	rule                string
	big                 bigInk
}

var unicodeGlyphs = glyphs{
	degree: "°", plusMinus: "±", more: "…",
	abort: "■", abortOff: "□", caution: "▲", advisory: "●", past: "○", good: "·", here: "◄",
	full: "█", empty: "░", target: "│", rule: "─",
	big: bigInk{both: "█", upper: "▀", lower: "▄"},
}

var asciiGlyphs = glyphs{
	ascii: true, degree: "", plusMinus: "+-", more: "~",
	abort: "#", abortOff: "-", caution: "!", advisory: "i", past: "o", good: ".", here: "<",
	full: "#", empty: ".", target: "|", rule: "-",
	big: bigInk{both: "#", segments: true},
}

func glyphsFor(ascii bool) *glyphs {
	if ascii {
		return &asciiGlyphs
	}
	return &unicodeGlyphs
}

// bigInk is what the dots of large letters are made of: a cell whose two dots
// are set, or only its upper or lower one. ASCII has no half cells: there,
// numbers three rows high are made of segments, and words stay plain.
type bigInk struct {
	both, upper, lower string
	segments           bool
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

// bigSize is how large a text is drawn.
type bigSize struct {
	rows int // 3: two dots a row; 5: one dot a row
	wide int // cells a dot
}

var (
	bigThree     = bigSize{3, 1}
	bigThreeWide = bigSize{3, 2}
	bigFive      = bigSize{5, 1}
	bigFiveWide  = bigSize{5, 2}
)

// bigWidth is the number of cells that text takes in size, without a gap at
// its end.
func bigWidth(text string, size bigSize) int {
	n := 0
	for _, r := range text {
		n += (len(bigLetters[r][0]) + 1) * size.wide
	}
	return max(n-size.wide, 0)
}

// bigText draws text as size.rows lines of equal width. Runes without a
// drawing are left out; TestBigLetters holds every text of ours against that.
func bigText(text string, size bigSize, ink bigInk) []string {
	if ink.segments && size == bigThree {
		if lines, ok := segmentText(text); ok {
			return lines
		}
	}
	dots := make([]string, bigDots+1) // one more blank line, for the odd half
	for i, r := range []rune(text) {
		letter, ok := bigLetters[r]
		if !ok {
			continue
		}
		for y := range letter {
			if i > 0 {
				dots[y] += " "
			}
			dots[y] += letter[y]
		}
	}
	dots[bigDots] = strings.Repeat(" ", len(dots[0]))
	lines := make([]string, size.rows)
	for y := range lines {
		lines[y] = dotLine(dots, y, size, ink)
	}
	return lines
}

// dotLine turns one or two lines of dots into a line of cells.
func dotLine(dots []string, y int, size bigSize, ink bigInk) string {
	var b strings.Builder
	upper, lower := dots[y], dots[y]
	if size.rows == 3 {
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
