package vessel

import (
	"bytes"
	"fmt"
)

// Limits on a TOML text. The reader of TOML compares each table with all before
// it, so that its time grows with the square of their number; the text is
// counted before it is read.
const (
	documentMost = 1 << 16 // bytes; a profile has about 3 kB
	tablesMost   = 2048    // the inline ones too; the longest offsets file has some 1500
	keysMost     = 8192
	tableMost    = 256  // keys below one header
	valuesMost   = 8192 // elements of lists
	nestedMost   = 16   // brackets in brackets, and parts of a dotted name
)

// CheckSize says what a TOML text has too much of and what is expected; both
// are empty if it can be read in a moment. Nothing else is looked at.
func CheckSize(data []byte) (wrong, expected string) {
	if len(data) > documentMost {
		return fmt.Sprintf("the file has %d bytes", len(data)), fmt.Sprintf("at most %d bytes", documentMost)
	}
	c := counter{text: data, fresh: true}
	for c.at < len(c.text) {
		c.next()
	}
	for _, n := range []struct {
		have, most int
		what       string
	}{
		{c.tables, tablesMost, "tables"}, {c.keys, keysMost, "keys"},
		{c.fullest, tableMost, "keys in one table"}, {c.values, valuesMost, "values in lists"},
		{c.deepest, nestedMost, "brackets within each other"}, {c.longest, nestedMost, "parts in one name"},
	} {
		if n.have > n.most {
			return fmt.Sprintf("the file has %d %s", n.have, n.what), fmt.Sprintf("at most %d", n.most)
		}
	}
	return "", ""
}

// counter walks over a TOML text without understanding it. It knows strings and
// remarks, so that what stands in them is not counted. In a text that is no
// TOML it may count too much, never too little of what the reader gets to.
type counter struct {
	text  []byte
	at    int
	fresh bool // nothing but blanks since the start of the line

	tables, keys, values int
	here, fullest        int // keys of this table, and of the fullest
	depth, deepest       int
	dots, longest        int
}

func (c *counter) next() {
	b, header := c.text[c.at], c.fresh
	if b != ' ' && b != '\t' && b != '\r' {
		c.fresh = b == '\n'
	}
	switch b {
	case '#':
		c.upTo("\n", false)
		return
	case '"', '\'':
		c.quoted(b)
		return
	case '[', '{':
		c.depth++
		c.deepest = max(c.deepest, c.depth)
		if header || b == '{' {
			c.tables++
			c.here = 0
		}
	case ']', '}':
		c.depth = max(c.depth-1, 0)
	case '=':
		c.keys++
		c.here++
		c.fullest = max(c.fullest, c.here)
	case ',':
		c.values++
	case '.':
		c.dots++
		c.longest = max(c.longest, c.dots+1)
	}
	if bytes.IndexByte([]byte("=,[]{}\n"), b) >= 0 {
		c.dots = 0
	}
	c.at++
}

// quoted passes over a string of any of the four kinds. One that is not closed
// ends with its line.
func (c *counter) quoted(mark byte) {
	escapes, one := mark == '"', string(mark)
	if three := one + one + one; bytes.HasPrefix(c.text[c.at:], []byte(three)) {
		c.at += 3
		c.upTo(three, escapes)
		c.at = min(c.at+3, len(c.text))
		for range 2 { // the last marks of the text itself
			if c.at < len(c.text) && c.text[c.at] == mark {
				c.at++
			}
		}
		return
	}
	for c.at++; c.at < len(c.text) && c.text[c.at] != '\n'; c.at++ {
		switch {
		case c.text[c.at] == mark:
			c.at++
			return
		case escapes && c.text[c.at] == '\\' && c.at+1 < len(c.text) && c.text[c.at+1] != '\n':
			c.at++
		}
	}
}

// upTo goes to the next end, or to the end of the text. With escapes a
// backslash hides the byte behind it.
func (c *counter) upTo(end string, escapes bool) {
	for c.at < len(c.text) && !bytes.HasPrefix(c.text[c.at:], []byte(end)) {
		if escapes && c.text[c.at] == '\\' {
			c.at++
		}
		c.at++
	}
	c.at = min(c.at, len(c.text))
}
