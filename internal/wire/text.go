package wire

import (
	"bytes"
	"strconv"
	"strings"
)

// LineMost is the most bytes of a line of text, without its end.
const LineMost = 512

// TextLines reads loggers that print lines: a header that names the columns
// and their units, then comma-separated values. It yields the frames that a
// logger with frames would send, so that everything above sees only frames:
// a Hello for each header (board 0, labels from the names) and a Sample for
// each line. firmware-protocol/ defines the format. The zero value is ready.
// It holds one line at most. It is for one goroutine.
//
// Lines carry no sequence number, so loss and repeats can't be counted, and
// no checksum unless the header ends in one; a garbled digit goes unseen.
type TextLines struct {
	// Aligned says that the stream starts at the start of a line, as a file
	// does. Otherwise the bytes before the first line end are used only if they
	// are a header. Set it before the first Decode.
	Aligned bool

	begun   bool // a line end was seen
	pending int  // bytes of the unfinished line, kept or not
	held    [LineMost + 2]byte

	layout  *layout // nil until there is a good header
	header  string  // its text
	checked bool    // every line carries a checksum

	due    bool // a Hello goes before the next Sample
	boot   uint16
	timed  bool // lastMS is known
	lastMS uint32

	seq     uint8
	body    [helloSize + ChannelMost*channelSize]byte // of the frame being yielded
	counts  Counts
	problem error
}

// Declare gives the header of a logger that prints none, or that printed it
// before anybody listened. A header in the stream replaces it. The Hello comes
// with the next Decode that yields a Sample.
func (t *TextLines) Declare(header string) error {
	header = strings.TrimSpace(header)
	l, err := parseHeader(header)
	if err != nil {
		return err
	}
	t.adopt(l, header, false)
	return nil
}

// Decode consumes all of p and calls yield for each frame it makes. How the
// stream is cut into calls makes no difference. A frame's Body is valid during
// that call only.
func (t *TextLines) Decode(p []byte, yield func(Frame)) {
	for len(p) > 0 {
		i := bytes.IndexByte(p, '\n')
		if i < 0 {
			t.hold(p)
			return
		}
		t.end(p[:i], yield)
		p = p[i+1:]
	}
}

// Counts is what was met so far: Good frames yielded, Damaged lines that can't
// be understood, Oversize lines. Lost and Repeated stay 0.
func (t *TextLines) Counts() Counts { return t.counts }

// Pending is the number of bytes of an unfinished line.
func (t *TextLines) Pending() int { return t.pending }

// Problem is what was wrong with the last line that was not understood; nil if there
// was none.
func (t *TextLines) Problem() error { return t.problem }

// IsText guesses whether the start of a stream comes from a logger that prints
// lines: it holds a line end and nothing but printable ASCII. Frames hold zeros.
func IsText(p []byte) bool {
	p = bytes.TrimPrefix(p, []byte("\uFEFF"))
	for _, b := range p {
		if (b < ' ' || b > '~') && b != '\n' && b != '\r' && b != '\t' {
			return false
		}
	}
	return bytes.IndexByte(p, '\n') >= 0
}

func (t *TextLines) hold(p []byte) {
	if t.pending < len(t.held) {
		copy(t.held[t.pending:], p)
	}
	t.pending += len(p)
}

// end takes the last part of a line, whose end came.
func (t *TextLines) end(part []byte, yield func(Frame)) {
	whole := t.begun || t.Aligned
	first := !t.begun
	t.begun = true
	t.hold(part)
	size := t.pending
	t.pending = 0
	line := t.held[:min(size, len(t.held))]
	if first {
		line = bytes.TrimPrefix(line, []byte("\uFEFF"))
	}
	if size <= len(t.held) {
		line = bytes.TrimSuffix(line, []byte{'\r'})
	}
	switch {
	case !whole && !isHeader(string(line[:min(5, len(line))])):
	case len(line) > LineMost || size > len(t.held):
		t.counts.Oversize++
		t.problem = lineError(string(line[:40])+"…", "want at most "+strconv.Itoa(LineMost)+" bytes")
	default:
		t.line(bytes.TrimSpace(line), yield)
	}
}

// line takes one whole line.
func (t *TextLines) line(line []byte, yield func(Frame)) {
	if len(line) == 0 || line[0] == '#' {
		return
	}
	bare, sum, ok := splitSum(line)
	switch {
	case !ok:
		t.damaged(lineError(string(line), "the checksum after * is not that of the line"))
	case isHeader(string(bare[:min(5, len(bare))])):
		t.takeHeader(string(bare), sum, yield)
	case t.layout == nil:
		t.damaged(lineError(string(line), "no header yet: begin with a line such as "+ExampleHeader+", or declare it"))
	case t.checked && !sum:
		t.damaged(lineError(string(line), "want * and a checksum at its end, as in the header"))
	default:
		t.takeRow(bare, yield)
	}
}
