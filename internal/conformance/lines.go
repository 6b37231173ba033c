package conformance

import (
	"bytes"
	"fmt"

	"fillwright/internal/wire"
)

// lineWatch follows a logger that prints lines.
type lineWatch struct {
	text     wire.TextLines
	pending  []byte
	begun    bool
	declared bool // the header was given by hand
	headers  int
	badHead  string
	rows     int
	damaged  int
	first    string // what was wrong first
	long     int
	sums     int // lines with a checksum
}

func (x *Exam) takeLines(p []byte) {
	w := &x.lines
	for len(p) > 0 {
		i := bytes.IndexByte(p, '\n')
		if i < 0 {
			w.pending = append(w.pending, p[:min(len(p), chunkMost-len(w.pending))]...)
			return
		}
		w.pending = append(w.pending, p[:min(i, chunkMost-len(w.pending))]...)
		x.line(w.pending)
		w.pending, p = w.pending[:0], p[i+1:]
	}
}

// line takes one line without its end.
func (x *Exam) line(line []byte) {
	w := &x.lines
	body := bytes.TrimSpace(line)
	head := len(body) >= 5 && bytes.EqualFold(body[:5], []byte("time_"))
	whole := w.begun || head
	w.begun = true
	if len(body) == 0 || body[0] == '#' {
		return
	}
	before := w.text.Counts()
	w.text.Decode(append(append([]byte(nil), line...), '\n'), func(f wire.Frame) {
		x.good++
		if f.Type == wire.TypeHello {
			x.takeHello(&f)
		} else {
			x.takeSample(f.Body)
		}
	})
	if !whole {
		return // the tail of a line
	}
	after := w.text.Counts()
	if head {
		w.headers++
	} else {
		w.rows++
	}
	if bytes.IndexByte(body, '*') >= 0 {
		w.sums++
	}
	if after.Oversize > before.Oversize {
		w.long++
	}
	if after.Damaged > before.Damaged {
		problem := w.text.Problem().Error()
		switch {
		case head:
			w.badHead = problem
		case w.headers > 0 || w.declared: // before it nothing can be understood
			w.damaged++
			if w.first == "" {
				w.first = problem
			}
		}
	}
}

func judgeHeader(x *Exam) (Verdict, string) {
	w := &x.lines
	switch {
	case w.badHead != "":
		return Wrong, w.badHead
	case w.headers == 0 && w.declared:
		return LeftOut, "none came; it was given by hand"
	case w.headers == 0:
		return Wrong, "no header came: its first column is time_ms, time_s or time_min"
	}
	return Right, fmt.Sprintf("%d came, %d values a line", w.headers, x.hello.N)
}

func judgeCells(x *Exam) (Verdict, string) {
	w := &x.lines
	switch {
	case w.long > 0:
		return Wrong, fmt.Sprintf("%d lines are longer than 512 bytes", w.long)
	case w.damaged > 0:
		return Wrong, fmt.Sprintf("%d of %d lines can't be used; the first: %s", w.damaged, w.rows, w.first)
	case w.rows == 0:
		return NotSeen, "no line came"
	}
	return Right, fmt.Sprintf("%d lines, each cell a number or blank", w.rows)
}

func judgeChecksum(x *Exam) (Verdict, string) {
	w := &x.lines
	switch n := w.rows + w.headers; {
	case w.sums == 0:
		return LeftOut, "no line has one: a flipped digit is a wrong temperature that nobody sees"
	case w.sums < n:
		return Wrong, fmt.Sprintf("%d of %d lines have one: when the header has it, each line must", w.sums, n)
	}
	return Right, "each line has one"
}
