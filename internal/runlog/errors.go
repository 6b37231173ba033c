package runlog

import (
	"errors"
	"fmt"

	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
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
