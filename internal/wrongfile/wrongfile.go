// Package wrongfile is the error of a file that can't be used: what is wrong in
// it, where, and what to do.
package wrongfile

import (
	"fmt"
	"strings"
)

// Error says what is wrong with a file, where, and what to do about it.
type Error struct {
	File  string
	Line  int    // from 1; 0: the file as a whole
	Where string // "column gas_c", "[resin] onset"; empty: the line as a whole
	What  string // what was wrong
	Do    string // what to type or do next
	Err   error  // the cause, if there is one
}

// Error is one line: file:line: where: what was wrong (cause); what to do.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if e.Where != "" {
		b.WriteString(e.Where + ": ")
	}
	b.WriteString(e.What)
	if e.Err != nil {
		fmt.Fprintf(&b, " (%v)", e.Err)
	}
	if e.Do != "" {
		b.WriteString("; " + e.Do)
	}
	return b.String()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }
