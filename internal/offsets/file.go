// Package offsets keeps the offsets file: what each sensor reads too much, now
// and earlier, with its age and trend. The file is replaced in one move, so
// that a kill at any moment leaves the old or the new one whole, and nothing in
// it is ever dropped.
package offsets

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"fillwright/internal/probe"
	"fillwright/internal/wholefile"
	"fillwright/internal/wrongfile"
)

// File is an offsets file as it was read. One that does not exist yet is empty.
type File struct {
	Name    string
	Text    []byte
	Offsets *probe.Offsets
}

// Read reads an offsets file; a missing one is empty.
func Read(name string) (*File, error) {
	f := &File{Name: name}
	_, err := os.Stat(name)
	if !errors.Is(err, fs.ErrNotExist) {
		f.Text, err = wholefile.Read(name, "")
		if err != nil {
			return nil, err
		}
	}
	if f.Offsets, err = probe.ParseOffsets(name, f.Text); err != nil {
		return nil, err
	}
	return f, nil
}

// Put puts fresh offsets in force and writes the file. What they replace stays
// in it as history.
func (f *File) Put(fresh []probe.Offset) error { return f.add("offset", fresh...) }

// Note adds an entry to the history alone, such as a check.
func (f *File) Note(o probe.Offset) error { return f.add("history", o) }

// add replaces the file by one with more entries, unless somebody else has
// changed it meanwhile.
func (f *File) add(header string, fresh ...probe.Offset) error {
	now, err := Read(f.Name)
	switch {
	case err != nil:
		return err
	case !bytes.Equal(now.Text, f.Text):
		return &wrongfile.Error{File: f.Name, What: "was changed by somebody else meanwhile; nothing was written", Do: "begin again, or give another name with --out"}
	}
	text, all, err := probe.WithOffsets(f.Name, f.Text, header, fresh)
	if err == nil && len(text) > textMost {
		text, all, err = f.begun(header, fresh)
	}
	if err != nil {
		return err
	}
	err = wholefile.Replace(f.Name, text)
	if err == nil || errors.Is(err, wholefile.ErrFolder) {
		f.Text, f.Offsets = text, all
	}
	switch {
	case errors.Is(err, wholefile.ErrFolder):
		return &wrongfile.Error{File: f.Name, What: "was written, but a power cut may take it back", Err: err}
	case err != nil:
		return &wrongfile.Error{File: f.Name, What: "can't be written; the old one is as it was", Do: "check the folder, or give another name with --out", Err: err}
	}
	return nil
}

// textMost is when the history moves to a file of its own: what is read is
// limited, in bytes and in tables.
const textMost, archivesMost = 24 << 10, 1000

// begun is the text of the file begun anew with what is in force. The file as
// it is goes to the first free name with a number, and stays as it was.
func (f *File) begun(header string, fresh []probe.Offset) ([]byte, *probe.Offsets, error) {
	for n := 1; n <= archivesMost; n++ {
		name := fmt.Sprintf("%s.%d", f.Name, n)
		err := wholefile.New(name, func(w io.Writer) error { _, err := w.Write(f.Text); return err })
		switch {
		case errors.Is(err, fs.ErrExist):
		case err != nil:
			return nil, nil, &wrongfile.Error{File: name, What: "can't be written", Do: "check the folder, or give another name with --out", Err: err}
		default:
			text := fmt.Sprintf("%s# Earlier ones: %s\n", f.Offsets.Format(), filepath.Base(name))
			return probe.WithOffsets(f.Name, []byte(text), header, fresh)
		}
	}
	return nil, nil, &wrongfile.Error{File: f.Name, What: "has too many earlier files beside it", Do: "move them into another folder"}
}
