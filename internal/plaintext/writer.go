package plaintext

import (
	"io"
	"sync"
	"unicode/utf8"
)

// Writer prints text on another writer, cleaned: lines and tabs stay, and
// Stand replaces whatever else Rune does not print. It is safe for several
// goroutines; what one Write gets goes on in one piece.
type Writer struct {
	mu   sync.Mutex
	w    io.Writer
	rest []byte // start of a character whose end is still to come
	buf  []byte
}

// NewWriter cleans what goes to w.
func NewWriter(w io.Writer) *Writer { return &Writer{w: w} }

// Write cleans p and writes it. A character that p ends in the middle of waits
// for the next Write.
func (w *Writer) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.rest) == 0 && plainRun(p) == len(p) {
		return w.w.Write(p)
	}
	all := p
	if len(w.rest) > 0 {
		all = append(w.rest, p...)
	}
	w.buf = w.buf[:0]
	for len(all) > 0 {
		n := plainRun(all)
		w.buf, all = append(w.buf, all[:n]...), all[n:]
		if !utf8.FullRune(all) {
			break
		}
		r, n := utf8.DecodeRune(all)
		if r != '\n' && r != '\t' {
			r = Rune(r)
		}
		w.buf, all = utf8.AppendRune(w.buf, r), all[n:]
	}
	w.rest = append([]byte(nil), all...)
	if _, err := w.w.Write(w.buf); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Close writes what waits. The writer below stays open.
func (w *Writer) Close() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.rest) == 0 {
		return nil
	}
	w.rest = nil
	_, err := w.w.Write([]byte{Stand})
	return err
}

// plainRun is how many bytes at the start of p are printable ASCII and line
// feeds, as nearly all is that the program prints at speed.
func plainRun(p []byte) int {
	for i, b := range p {
		if (b < ' ' || b > '~') && b != '\n' {
			return i
		}
	}
	return len(p)
}
