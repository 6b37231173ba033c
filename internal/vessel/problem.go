package vessel

import (
	"fmt"
	"sort"
	"strings"

	"fillwright/internal/plaintext"
	"fillwright/internal/wrongfile"
)

// ProblemsMost is how many problems a FileError reports at once.
const ProblemsMost = 10

const problemsKept = 200 // before sorting; a file with more is not a profile

// Problem is one thing that is wrong in a file.
type Problem struct {
	Line     int    // 0: something is missing
	Where    string // "[resin] onset"
	Wrong    string // what is wrong
	Expected string // what was expected
	Type     string // what to type; may be empty
}

// FileError says everything that is wrong in a file, in the order of the
// lines; what is missing comes last.
type FileError struct {
	File     string
	Problems []Problem // at most ProblemsMost
	More     int       // problems beyond those
}

// Error gives a line for each problem.
func (e *FileError) Error() string {
	var b strings.Builder
	for i, p := range e.Problems {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(e.File)
		if p.Line > 0 {
			fmt.Fprintf(&b, ":%d", p.Line)
		}
		b.WriteString(": " + p.String())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\n%s: and %d more", e.File, e.More)
	}
	return b.String()
}

// Unwrap gives the problems as those of any wrong file.
func (e *FileError) Unwrap() []error {
	var out []error
	for _, p := range e.Problems {
		out = append(out, &wrongfile.Error{File: e.File, Line: p.Line, What: p.String()})
	}
	return out
}

// String is the problem without its place.
func (p Problem) String() string {
	s := p.Wrong
	if p.Where != "" {
		s = p.Where + " " + p.Wrong
	}
	s += "; expected " + p.Expected
	if p.Type != "" {
		s += "; type: " + p.Type
	}
	return s
}

// add keeps a key's first problem: the later ones follow from it.
func (e *FileError) add(p Problem) {
	for _, q := range e.Problems {
		if q.Line == p.Line && q.Where == p.Where && p.Where != "" {
			return
		}
	}
	if len(e.Problems) >= problemsKept {
		e.More++
		return
	}
	e.Problems = append(e.Problems, p)
}

// err sorts and bounds the problems; nil when there are none.
func (e *FileError) err() error {
	if len(e.Problems) == 0 {
		return nil
	}
	sort.SliceStable(e.Problems, func(i, j int) bool {
		a, b := e.Problems[i].Line, e.Problems[j].Line
		return a != 0 && (b == 0 || a < b)
	})
	if n := len(e.Problems) - ProblemsMost; n > 0 {
		e.Problems, e.More = e.Problems[:ProblemsMost], e.More+n
	}
	return e
}

// Nearest is the word of the list that a mistyped one most likely meant, ""
// when none is near.
func Nearest(word string, list []string) string {
	best, bestAt := "", len(word)/2+1
	for _, w := range list {
		if d := distance(word, w); d < bestAt {
			best, bestAt = w, d
		}
	}
	return best
}

// distance counts the bytes to insert, delete or replace (Levenshtein, Soviet Physics
// Doklady 10:707, 1966; citation from memory).
func distance(a, b string) int {
	if len(a) > 64 || len(b) > 64 {
		return 64
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := before
			if a[i-1] != b[j-1] {
				cost++
			}
			before = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}

func clip(s string) string { return clipTo(s, 40) }

// Clip is the start of what a file or a library says, for one line of a
// message: at most 120 printable characters.
func Clip(s string) string { return clipTo(printable(s), saidMost) }

// saidMost is the most of it that fits such a line.
const saidMost = 120

func clipTo(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// printable keeps what a file says from upsetting a terminal.
func printable(s string) string { return strings.Map(plaintext.Rune, s) }
