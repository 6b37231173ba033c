package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"

	"fillwright/internal/recording"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// sniffMost is how much of a file is looked at to tell what it is.
const sniffMost = 64 << 10

// Starts of files that people take for a recording by mistake. The magic
// numbers are those of RFC 1952 (gzip), RFC 8878 (zstd), the ZIP application
// note 4.3.7 and the UTF-16 byte order marks; from memory.
var strangers = []struct{ start, what, do string }{
	{"\x1f\x8b", "is compressed with gzip", "unpack it first: gunzip FILE"},
	{"\x28\xb5\x2f\xfd", "is compressed with zstd", "unpack it first: unzstd FILE"},
	{"PK\x03\x04", "is a ZIP archive or a spreadsheet", "unpack it, or save the spreadsheet as CSV with points as decimal marks"},
	{"\xff\xfe", "is text in UTF-16", "save it as CSV in UTF-8"},
	{"\xfe\xff", "is text in UTF-16", "save it as CSV in UTF-8"},
}

// A header of a logger that prints text names raw units, or ends in a checksum;
// no column of a CSV file does.
var linesHeader = regexp.MustCompile(`(?im)^time_(ms|s|min),.*(_(counts/[0-9]+|nv|uv|mv|mc|ua|ma)\b|\*[0-9a-f]{2,8}\s*$)`)

const recordingWanted = "name a run log, a capture of the serial port or a CSV file"

// sniff finds what sort of file it is and where its last whole frame ends.
func (r *Reader) sniff() error {
	if r.size == 0 {
		return &wrongfile.Error{File: r.name, What: "is empty", Do: recordingWanted}
	}
	head := make([]byte, min(r.size, sniffMost))
	if n, err := r.data.ReadAt(head, 0); n < len(head) {
		return &wrongfile.Error{File: r.name, What: "can't be read", Err: err}
	}
	for _, s := range strangers {
		if bytes.HasPrefix(head, []byte(s.start)) {
			return &wrongfile.Error{File: r.name, What: s.what, Do: s.do}
		}
	}
	if bytes.IndexByte(head, 0) < 0 && r.size > 2*wire.ContentMost || isText(head) {
		return r.sniffText(head)
	}
	return r.sniffFrames(head)
}

// isText says whether there is nothing but text.
func isText(head []byte) bool {
	for _, b := range head {
		if b < ' ' && b != '\t' && b != '\r' && b != '\n' || b == 0x7f {
			return false
		}
	}
	return true
}

// sniffText tells a CSV file from a capture of a logger that prints text.
func (r *Reader) sniffText(head []byte) error {
	if linesHeader.Match(head) {
		r.kind, r.end = FileLines, r.size
		return nil
	}
	r.kind = FileCSV
	if !isText(head) {
		return &wrongfile.Error{File: r.name, What: "is neither a recording nor a table", Do: recordingWanted}
	}
	return nil
}

// sniffFrames tells a run log from a capture, and finds the torn tail.
func (r *Reader) sniffFrames(head []byte) error {
	r.kind = FileCapture
	first, _, _ := bytes.Cut(head, []byte{0})
	probe := wire.Decoder{Aligned: true}
	probe.Decode(append(bytes.Clone(first), 0), func(f wire.Frame) {
		r.aligned = true
		if f.Type == wire.TypeLogStart {
			r.kind = FileRunLog
		}
	})
	var err error
	if r.end, err = lastDelimiter(r.data, r.size); err != nil {
		return &wrongfile.Error{File: r.name, What: "can't be read", Err: err}
	}
	r.torn = r.size - r.end
	if r.tail, err = wholeTail(r.data, r.end, r.size); err != nil {
		return &wrongfile.Error{File: r.name, What: "can't be read", Err: err}
	}
	if len(r.tail) > 0 {
		r.torn = 0
	}
	return nil
}

// lastDelimiter finds the end of the last whole frame: the place behind the
// last zero byte, 0 when there is none.
func lastDelimiter(data io.ReaderAt, size int64) (int64, error) {
	buf := make([]byte, 4096)
	for end := size; end > 0; {
		start := max(0, end-int64(len(buf)))
		piece := buf[:end-start]
		if n, err := data.ReadAt(piece, start); n < len(piece) {
			return 0, err
		}
		if i := bytes.LastIndexByte(piece, 0); i >= 0 {
			return start + int64(i) + 1, nil
		}
		end = start
	}
	return 0, nil
}

// wholeTail gives the bytes behind the last delimiter, with a delimiter added,
// when they are a good frame that lost nothing but its delimiter.
func wholeTail(data io.ReaderAt, end, size int64) ([]byte, error) {
	if size == end || size-end > 2*wire.ContentMost {
		return nil, nil
	}
	tail := make([]byte, size-end, size-end+1)
	if n, err := data.ReadAt(tail, end); n < len(tail) {
		return nil, err
	}
	tail = append(tail, 0)
	whole := false
	probe := wire.Decoder{Aligned: true}
	probe.Decode(tail, func(wire.Frame) { whole = true })
	if !whole {
		return nil, nil
	}
	return tail, nil
}

// scan reads the file through once: versions, texts, counts.
func (r *Reader) scan() error {
	r.parts = append(r.parts[:0], wire.Texts{})
	var s scanner
	if err := recording.Each(r, func(f wire.Frame) error { return s.look(r, f) }); err != nil {
		return err
	}
	s.texts.Flush()
	r.broken = s.texts.Broken
	if lines, ok := r.dec.(*wire.TextLines); ok {
		r.torn = int64(lines.Pending()) // a number may be cut: only a whole line counts
	}
	r.sum = r.dec.Counts()
	return s.verdict(r)
}

// Limits on the texts of a recording.
const (
	textsMost = 8 << 20 // bytes in all different texts of a recording
	partsMost = 4096    // LogStarts whose texts are kept
)

// scanner is what the first reading remembers.
type scanner struct {
	texts  wire.TextJoiner
	intern map[string]string // texts are mostly the same from part to part
	bytes  int               // in intern
	hellos int
	newer  int // greatest protocol version of a logger above ours
}

func (s *scanner) look(r *Reader, f wire.Frame) error {
	for len(r.parts) <= r.part {
		r.parts = append(r.parts, wire.Texts{})
	}
	switch f.Type {
	case wire.TypeLogStart:
		s.texts.Flush()
		var start wire.LogStart
		err := wire.ParseLogStart(f.Body, &start)
		if errors.Is(err, wire.ErrVersion) && start.Version > wire.Version {
			return newer(r.name, int(start.Version))
		}
		if err != nil {
			return &wrongfile.Error{File: r.name, What: "opens with a damaged log-start", Err: err, Do: recordingWanted}
		}
	case wire.TypeText:
		if kind, text, whole := s.texts.Add(f.Body); whole {
			s.keep(r.parts[r.part].Of(kind), text)
		}
	case wire.TypeHello:
		var h wire.Hello
		if err := wire.ParseHello(f.Body, &h); err == nil {
			if s.hellos++; s.hellos == 1 {
				r.hello = h
			}
		} else if errors.Is(err, wire.ErrVersion) {
			s.newer = max(s.newer, int(h.Protocol))
		}
	}
	return nil
}

// keep stores a text once, however many parts of the log repeat it.
func (s *scanner) keep(at *string, text string) {
	if at == nil {
		return // a kind of text that a newer program records
	}
	old, ok := s.intern[text]
	switch {
	case ok:
		*at = old
		return
	case s.bytes+len(text) > textsMost:
		s.texts.Broken++
		return
	case s.intern == nil:
		s.intern = map[string]string{}
	}
	s.bytes += len(text)
	s.intern[text] = text
	*at = text
}

// verdict refuses what can't be understood. A run log may hold no hello (the
// cable was dead); a capture without one says nothing.
func (s *scanner) verdict(r *Reader) error {
	switch {
	case r.kind == FileRunLog || s.hellos > 0:
		return nil
	case s.newer > wire.Version:
		return newer(r.name, s.newer)
	case r.sum.Good == 0 || r.sum.Damaged > r.sum.Good:
		return &wrongfile.Error{File: r.name, What: fmt.Sprintf("holds %d bytes but hardly a good frame (%d good, %d damaged)",
			r.size, r.sum.Good, r.sum.Damaged+r.sum.Oversize), Do: recordingWanted}
	}
	return &wrongfile.Error{File: r.name, What: fmt.Sprintf("holds %d frames but no hello, so its channels are not known", r.sum.Good),
		Do: "capture for longer than 5 s, the time between two hellos"}
}

// Warnings say what is not whole in the recording, one short sentence each.
func (r *Reader) Warnings() []string {
	var w []string
	c := r.Counts()
	add := func(n uint64, format string) {
		if n > 0 {
			w = append(w, fmt.Sprintf(format, n))
		}
	}
	add(uint64(r.torn), "the last %d bytes are unfinished and were left out")
	add(c.Damaged+c.Oversize, "%d damaged frames were left out")
	add(c.Lost, "%d frames of the logger never arrived")
	add(uint64(r.broken), "%d recorded texts have parts missing and were left out")
	return w
}
