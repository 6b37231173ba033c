// Package runlog keeps what came over the cable and gives it back: an
// append-only run log, which is the wire's own frames in a file, and CSV in
// and out.
//
// A run log is a stream of frames as package wire defines it. It starts with a
// LogStart frame; each appending adds another. A plain capture of the serial
// port is read as well, and so is a CSV file; all three come out as frames.
package runlog

import (
	"errors"
	"io"

	"fillwright/internal/wire"
)

// Source yields frames one by one and io.EOF after the last. A frame's body
// is valid until the next call.
type Source interface {
	Next() (wire.Frame, error)
}

// each has step take the frames of a source to its end, or to the first error.
func each(src Source, step func(wire.Frame) error) error {
	for {
		f, err := src.Next()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err == nil:
			err = step(f)
		}
		if err != nil {
			return err
		}
	}
}

// Rewinder is a Source that can be read again from its first frame.
type Rewinder interface {
	Source
	Rewind() error
}

// FileKind says what sort of file a Reader found.
type FileKind uint8

// The sorts of recordings.
const (
	FileRunLog  FileKind = iota + 1 // frames, opened by a LogStart
	FileCapture                     // frames as they came over the cable
	FileLines                       // text lines as a logger that prints text sends them
	FileCSV                         // a table with a header that carries units
)

var fileKindNames = [...]string{"unknown", "run log", "capture", "capture of text lines", "CSV"}

// String is for people.
func (k FileKind) String() string { return fileKindNames[k] }
