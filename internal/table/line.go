package table

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Limits on a CSV file.
const (
	lineMost    = 64 << 10   // bytes in a line
	columnsMost = 64         // columns, notes included
	rowsMost    = 20_000_000 // rows: 4 days at 50 Hz
)

var utf8BOM = []byte("\xef\xbb\xbf")

// lineReader gives the lines of a text that hold something: no blank lines,
// no comments. It keeps one line in memory.
type lineReader struct {
	r    *bufio.Reader
	line int // number of the line given last, from 1
}

func newLineReader(r io.Reader) *lineReader {
	return &lineReader{r: bufio.NewReaderSize(r, lineMost)}
}

// next gives the next line without its end. The error is io.EOF at the end, or
// says what is wrong with the line.
func (l *lineReader) next() (string, error) {
	for {
		b, err := l.r.ReadSlice('\n')
		if len(b) == 0 && err != nil {
			return "", err
		}
		l.line++
		if errors.Is(err, bufio.ErrBufferFull) {
			return "", fmt.Errorf("line is longer than %d bytes", lineMost)
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return "", err
		}
		if l.line == 1 {
			b = bytes.TrimPrefix(b, utf8BOM)
		}
		b = bytes.TrimRight(b, "\r\n")
		if t := bytes.TrimSpace(b); len(t) == 0 || t[0] == '#' {
			continue
		}
		if !utf8.Valid(b) || bytes.IndexByte(b, 0) >= 0 {
			return "", errors.New("line is not text in UTF-8")
		}
		if bytes.IndexByte(b, '\r') >= 0 {
			return "", errors.New("line has a carriage return in its middle")
		}
		return string(b), nil
	}
}

// separator finds what separates the cells of a header line: of the three, the
// one that it has most of.
func separator(header string) byte {
	best, most := byte(','), 0
	for _, sep := range []byte{',', ';', '\t'} {
		if n := strings.Count(header, string(sep)); n > most {
			best, most = sep, n
		}
	}
	return best
}

// splitCells cuts a line into cells, after RFC 4180: a cell may stand in
// double quotes, and "" in such a cell is one quote. Unlike there a quoted
// cell ends on its own line. Spaces around a cell do not count.
func splitCells(cells []string, line string, sep byte) ([]string, error) {
	for {
		line = strings.TrimLeft(line, " ")
		cell, rest := line, ""
		more := false
		if strings.HasPrefix(line, `"`) {
			var err error
			if cell, line, err = cutQuoted(line); err != nil {
				return cells, fmt.Errorf("cell %d: %w", len(cells)+1, err)
			}
			line = strings.TrimLeft(line, " ")
			if line != "" && line[0] != sep {
				return cells, fmt.Errorf("cell %d: something stands behind the closing quote", len(cells)+1)
			}
			more = line != ""
			rest = strings.TrimPrefix(line, string(sep))
		} else if i := strings.IndexByte(line, sep); i >= 0 {
			cell, rest, more = line[:i], line[i+1:], true
		}
		if len(cells) == columnsMost {
			return cells, fmt.Errorf("more than %d cells", columnsMost)
		}
		cells = append(cells, strings.TrimSpace(cell))
		if !more {
			return cells, nil
		}
		line = rest
	}
}

// cutQuoted takes a quoted cell off the front of a line.
func cutQuoted(line string) (cell, rest string, err error) {
	for i := 1; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			i++
			continue
		}
		return strings.ReplaceAll(line[1:i], `""`, `"`), line[i+1:], nil
	}
	return "", "", errors.New("a quote is not closed on its line")
}
