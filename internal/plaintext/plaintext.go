// Package plaintext keeps text from outside from upsetting a terminal. A file's
// name, a key of a model, a remark in a stranger's recording or a logger's
// complaint may hold an escape sequence that moves the cursor, paints a false
// screen or types into the shell, or a sign that turns the direction of
// reading. Everything that the program prints goes through here.
package plaintext

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Stand is what stands for a character that is not printed.
const Stand = '?'

// Rune is r where it can be printed on a line, else Stand. Not printed are
// control characters (ECMA-48: C0, DEL, C1), signs without a picture such as
// those that turn the direction of reading (Unicode: format, separators of lines
// and paragraphs, private, unassigned), and what is no character.
func Rune(r rune) rune {
	switch {
	case r >= ' ' && r < 0x7f:
		return r
	case r == utf8.RuneError, !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r):
		return Stand
	}
	return r
}

// Line is s on one line that can be printed: line ends and tabs are blanks.
func Line(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || r == '\r' {
			return ' '
		}
		return Rune(r)
	}, s)
}
