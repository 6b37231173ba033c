// Package runlog keeps what came over the cable and gives it back: an
// append-only run log, which is the wire's own frames in a file.
//
// A run log is a stream of frames as package wire defines it. It starts with a
// LogStart frame; each appending adds another. A plain capture of the serial
// port is read as well, and so is a CSV file; all three come out as frames.
package runlog

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fillwright/internal/recording"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

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

// ErrQueueFull is returned by Append when the disk has been unable to keep up
// for so long that the memory set aside for it is full: the frame is lost.
var ErrQueueFull = errors.New("run log queue is full, frames are being lost")

// ErrClosed is returned by Append after Close.
var ErrClosed = errors.New("run log is closed")

// ErrLocked is wrapped by the error of OpenWriter when another program writes
// to the same log.
var ErrLocked = errors.New("another program is recording into this run log")

// ErrNotFrames is returned by Append for bytes that are not whole frames. It is
// a mistake of the caller.
var ErrNotFrames = errors.New("run log: only whole frames, each with its delimiter, can be appended")

// WriteError says that a log which was being recorded can't go on: the command
// line and the files were right, the disk or somebody else was not.
type WriteError wrongfile.Error

// Error is as that of a wrongfile.Error.
func (e *WriteError) Error() string { return (*wrongfile.Error)(e).Error() }

// Unwrap gives the cause.
func (e *WriteError) Unwrap() error { return e.Err }

// ErrNewer is wrapped by the error of a recording that a newer program made.
var ErrNewer = errors.New("made by a newer fillwright")

func newer(file string, version int) error {
	return &wrongfile.Error{File: file, What: fmt.Sprintf("recorded with version %d of the protocol, this program reads up to version %d", version, wire.Version),
		Do: "install a newer fillwright and read it with that (the file is unchanged)", Err: ErrNewer}
}

// shellQuote makes a file name fit to be typed into a shell, for messages that
// say what to type.
func shellQuote(s string) string {
	if s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./+:@%=,") == "" {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// LengthS is the session time of the last sample, NaN for a recording that was
// appended to: there session time begins anew. It reads the recording through
// and goes back to its first frame.
func (r *Reader) LengthS() (float64, error) {
	if err := r.Rewind(); err != nil {
		return math.NaN(), err
	}
	lengthS, err := r.lastS()
	return lengthS, errors.Join(err, r.Rewind())
}

func (r *Reader) lastS() (float64, error) {
	if len(r.parts) > 1 {
		return math.NaN(), nil
	}
	var play recording.Playback
	if err := recording.Each(r, func(f wire.Frame) error { play.Step(f); return nil }); err != nil {
		return math.NaN(), err
	}
	return play.Time.LastS(), nil
}
