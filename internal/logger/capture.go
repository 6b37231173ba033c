package logger

import (
	"context"
	"errors"
	"io/fs"
	"os"
)

// Capture is a file that holds what a serial port said, byte for byte.
type Capture struct {
	Path string
}

// Name is the path.
func (c Capture) Name() string { return c.Path }

// Live is false: a file ends.
func (c Capture) Live() bool { return false }

// Open opens the file for reading.
func (c Capture) Open(context.Context) (Conn, error) {
	e := &OpenError{Name: c.Path}
	info, err := os.Stat(c.Path)
	if err == nil && !info.Mode().IsRegular() {
		e.Problem, e.Detail = ProblemOther, "this is not a file"
		e.Hints = []string{"name a file, or a serial port with: --port " + c.Path}
		return nil, e
	}
	var f *os.File
	if err == nil {
		f, err = os.Open(c.Path)
	}
	if err == nil {
		return captureConn{f}, nil
	}
	e.Err = err
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Problem, e.Detail = ProblemMissing, "there is no such file"
		e.Hints = []string{"check the spelling; to see what is there type: ls"}
	case errors.Is(err, fs.ErrPermission):
		e.Problem, e.Detail = ProblemDenied, "you are not allowed to read this file"
		e.Hints = []string{"to see who is type: ls -l " + c.Path}
	default:
		e.Problem, e.Detail = ProblemOther, "can't be opened: "+err.Error()
	}
	return nil, e
}

// captureConn can't be written: a recording answers nobody.
type captureConn struct{ file *os.File }

func (c captureConn) Read(p []byte) (int, error)  { return c.file.Read(p) }
func (c captureConn) Write(p []byte) (int, error) { return len(p), nil }
func (c captureConn) Close() error                { return c.file.Close() }
