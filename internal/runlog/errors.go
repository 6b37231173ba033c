package runlog

import (
	"errors"
	"fmt"
	"strings"
)

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

// FileError says what is wrong with a file, where, and what to do about it.
type FileError struct {
	File   string
	Line   int    // from 1; 0: the file as a whole
	Column string // name of the CSV column, empty: the line as a whole
	What   string // what was wrong
	Do     string // what to type or do next
	Err    error  // the cause, if there is one
}

// Error is one line: file:line: column: what was wrong; what to do.
func (e *FileError) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if e.Column != "" {
		fmt.Fprintf(&b, "column %s: ", e.Column)
	}
	b.WriteString(e.What)
	if e.Err != nil {
		fmt.Fprintf(&b, " (%v)", e.Err)
	}
	if e.Do != "" {
		b.WriteString("; ")
		b.WriteString(e.Do)
	}
	return b.String()
}

// Unwrap gives the cause.
func (e *FileError) Unwrap() error { return e.Err }

// WriteError says that a log which was being recorded can't go on: the command
// line and the files were right, the disk or somebody else was not.
type WriteError FileError

// Error is as that of a FileError.
func (e *WriteError) Error() string { return (*FileError)(e).Error() }

// Unwrap gives the cause.
func (e *WriteError) Unwrap() error { return e.Err }

// VersionError says that a recording was made by a newer program.
type VersionError struct {
	File  string
	Found int // version of the recording
	Ours  int // newest version that this program reads
}

// Error names both versions and what to do.
func (e *VersionError) Error() string {
	return fmt.Sprintf("%s: recorded with version %d of the protocol, this program reads up to version %d; "+
		"install a newer fillwright and read it with that (the file is unchanged)", e.File, e.Found, e.Ours)
}
