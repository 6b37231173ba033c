// Package columns lays words out for a terminal: a table in columns, a text in
// lines.
package columns

import (
	"strings"
	"text/tabwriter"
	"unicode/utf8"
)

// Table sets cells under each other, two blanks apart and all of it behind indent,
// a line a row.
func Table(indent string, rows [][]string) string {
	var b strings.Builder
	tab := tabwriter.NewWriter(&b, 0, 8, 2, ' ', 0)
	for _, row := range rows {
		// A strings.Builder takes everything.
		_, _ = tab.Write([]byte(indent + strings.Join(row, "\t") + "\n"))
	}
	_ = tab.Flush()
	var out strings.Builder
	for line := range strings.Lines(b.String()) {
		out.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
	return out.String()
}

// Wrap breaks a text into lines of at most width characters. A longer word has a
// line of its own.
func Wrap(text string, width int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width:
			out, line = append(out, line), word
		default:
			line += " " + word
		}
	}
	return append(out, line)
}
