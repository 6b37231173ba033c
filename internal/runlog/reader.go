package runlog

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// readMost is how many bytes of a recording are read at a time.
const readMost = 32 << 10

// Reader yields the frames of a recording, whatever sort of file it lies in.
// Opening reads a run log or capture through once, so that a bad file is
// refused before anything is shown and the texts in force are known from the
// start. It is for one goroutine.
type Reader struct {
	name     string
	kind     FileKind
	aligned  bool // frames begin at the first byte
	data     io.ReaderAt
	size     int64
	stations []vessel.Station
	closer   io.Closer

	csv   *table.Reader
	dec   decoder
	queue wire.Queue
	at    int64 // bytes given to the decoder, or to the table
	end   int64 // end of the last whole frame
	tail  []byte
	buf   []byte

	parts  []wire.Texts // one a LogStart, the first also without one
	part   int
	begun  bool        // a frame was given since the last Rewind
	sum    wire.Counts // of the whole file
	torn   int64
	broken int        // texts with parts missing
	hello  wire.Hello // the first that could be read
}

// decoder is what turns bytes into frames: wire.Decoder or wire.TextLines.
type decoder interface {
	Decode(p []byte, yield func(wire.Frame))
	Counts() wire.Counts
}

// Open opens a recording: a run log, a capture of the serial port or a CSV
// file, told apart by content. Stations are those of the vessel profile; they
// matter for CSV only (see package table). The errors are *wrongfile.Error.
func Open(path string, stations []vessel.Station) (*Reader, error) {
	f, size, err := OpenFile(path)
	if err != nil {
		return nil, err
	}
	r, err := NewReader(path, f, size, stations)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	r.closer = f
	return r, nil
}

// OpenFile opens the file of a recording for whoever reads its bytes, and says how
// many there are. The errors are *wrongfile.Error.
func OpenFile(path string) (f *os.File, size int64, err error) {
	if err := checkRegular(path); err != nil {
		return nil, 0, err
	}
	if f, err = os.Open(path); err != nil {
		return nil, 0, &wrongfile.Error{File: path, What: "can't be read", Err: cause(err)}
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(&wrongfile.Error{File: path, What: "can't be read", Err: err}, f.Close())
	}
	return f, info.Size(), nil
}

// checkRegular refuses what is no plain file, before opening it: opening a
// serial port would restart the logger.
func checkRegular(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return &wrongfile.Error{File: path, What: "there is no such file", Do: "check the name; ls " + shellQuote(filepath.Dir(path)) + " shows what is there"}
	case err != nil:
		return &wrongfile.Error{File: path, What: "can't be read", Err: cause(err)}
	case info.IsDir():
		return &wrongfile.Error{File: path, What: "is a folder", Do: "name a file in it"}
	case !info.Mode().IsRegular():
		return &wrongfile.Error{File: path, What: "is a device or a pipe, not a file", Do: "name a run log, a capture or a CSV file; to read a port type fillwright watch --port " + shellQuote(path)}
	}
	return nil
}

// NewReader reads a recording of size bytes. Name is for messages.
func NewReader(name string, data io.ReaderAt, size int64, stations []vessel.Station) (*Reader, error) {
	r := &Reader{name: name, data: data, size: size, stations: stations, buf: make([]byte, readMost)}
	if err := r.sniff(); err != nil {
		return nil, err
	}
	if err := r.Rewind(); err != nil {
		return nil, err
	}
	if r.kind == FileCSV {
		return r, nil
	}
	if err := r.scan(); err != nil {
		return nil, err
	}
	return r, r.Rewind()
}

// Kind is what sort of file it is.
func (r *Reader) Kind() FileKind { return r.kind }

// Name is the file's name as it was given.
func (r *Reader) Name() string { return r.name }

// Texts are the texts in force at the place reached: those of the first part
// before the first Next, and of the next part once its LogStart was given.
func (r *Reader) Texts() wire.Texts {
	if r.part >= len(r.parts) {
		return wire.Texts{}
	}
	return r.parts[r.part]
}

// Channels is the channel table to use in place of the profile's, nil to use
// the profile's: only a CSV file brings its own.
func (r *Reader) Channels() []vessel.Channel {
	if r.csv == nil {
		return nil
	}
	return r.csv.Channels()
}

// Counts is what the whole file holds; of a CSV file what was read so far.
func (r *Reader) Counts() wire.Counts {
	if r.csv != nil {
		return r.csv.Counts()
	}
	return r.sum
}

// Close closes the file.
func (r *Reader) Close() error {
	if r.closer == nil {
		return nil
	}
	return r.closer.Close()
}

// Share is how much of the file was read since the last Rewind, 0 to 1.
func (r *Reader) Share() float64 { return float64(r.at) / float64(max(r.size, 1)) }

// counted counts what is read from a table.
type counted struct {
	r  io.Reader
	at *int64
}

// Read implements io.Reader.
func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	*c.at += int64(n)
	return n, err
}

// Rewind goes back to the first frame.
func (r *Reader) Rewind() error {
	r.queue.Reset()
	r.at, r.part, r.begun = 0, 0, false
	if r.kind == FileCSV {
		var err error
		r.csv, err = table.NewReader(r.name, &counted{io.NewSectionReader(r.data, 0, r.size), &r.at}, r.stations)
		return err
	}
	if r.kind == FileLines {
		r.dec = new(wire.TextLines)
		return nil
	}
	r.dec = &wire.Decoder{Aligned: r.aligned}
	return nil
}

// Next gives the next frame, io.EOF after the last.
func (r *Reader) Next() (wire.Frame, error) {
	if r.csv != nil {
		return r.csv.Next()
	}
	for {
		if f, ok := r.queue.Pop(); ok {
			if f.Type == wire.TypeLogStart && r.begun {
				r.part = min(r.part+1, partsMost-1)
			}
			r.begun = true
			return f, nil
		}
		if err := r.fill(); err != nil {
			return wire.Frame{}, err
		}
	}
}

// fill gives the decoder the next piece of the file. The bytes behind the last
// whole frame come last, and only when they make a frame.
func (r *Reader) fill() error {
	if r.at == r.end {
		if len(r.tail) == 0 {
			return io.EOF
		}
		r.at = r.end + 1
		r.dec.Decode(r.tail, r.queue.Push)
		return nil
	}
	if r.at > r.end {
		return io.EOF
	}
	n, err := r.data.ReadAt(r.buf[:min(int64(len(r.buf)), r.end-r.at)], r.at)
	r.at += int64(n)
	r.dec.Decode(r.buf[:n], r.queue.Push)
	if n == 0 && err != nil {
		return &wrongfile.Error{File: r.name, What: fmt.Sprintf("can't be read at byte %d", r.at), Err: err,
			Do: "the file got shorter or the disk is failing; copy it to another disk and try again"}
	}
	return nil
}
