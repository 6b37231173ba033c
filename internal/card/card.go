// Package card keeps the offsets file: what each sensor read too much, now and
// earlier. The file is replaced in one move, so that a kill at any moment
// leaves the old or the new one whole, and nothing in it is ever dropped.
package card

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"fillwright/internal/probe"
	"fillwright/internal/wholefile"
)

// FileError says what is wrong with an offsets file, and what to do.
type FileError struct {
	File, What, Do string
	Err            error
}

// Error is the file, what is wrong and what to do, on two lines.
func (e *FileError) Error() string {
	text := e.File + ": " + e.What
	if e.Err != nil {
		text += ": " + e.Err.Error()
	}
	if e.Do != "" {
		text += "\n  " + e.Do
	}
	return text
}

// Unwrap is the error of the system.
func (e *FileError) Unwrap() error { return e.Err }

// Card is an offsets file as it was read. One that does not exist yet is empty.
type Card struct {
	File    string
	Text    []byte
	Offsets *probe.Offsets
	there   bool
}

const fileMost = 1 << 20

// Read reads an offsets file; a missing one is an empty card.
func Read(file string) (*Card, error) {
	c := &Card{File: file}
	text, there, err := readText(file)
	if err != nil {
		return nil, err
	}
	c.Text, c.there = text, there
	if c.Offsets, err = probe.ParseOffsets(file, text); err != nil {
		return nil, err
	}
	return c, nil
}

func readText(file string) (text []byte, there bool, err error) {
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, false, nil
	case err != nil:
		return nil, false, &FileError{file, "can't be read", "check the folder and who may read there", err}
	case info.IsDir():
		return nil, false, &FileError{file, "is a folder", "name a file in it", nil}
	case info.Size() > fileMost:
		return nil, false, &FileError{file, "is far too large for an offsets file", "check the name", nil}
	}
	if text, err = os.ReadFile(file); err != nil {
		return nil, false, &FileError{file, "can't be read", "check who may read it", err}
	}
	return text, true, nil
}

// textMost is when the history moves to a file of its own: a run log takes the
// whole text with each session.
const textMost = 24 << 10

// Put puts fresh offsets in force and writes the file. What they replace stays
// as history. moved names the file that took an overlong history, "" if none.
func (c *Card) Put(fresh []probe.Offset) (moved string, err error) {
	text, err := probe.Supersede(c.File, c.Text, fresh)
	if err != nil {
		return "", err
	}
	if len(text) > textMost {
		if moved, err = c.moveHistory(); err != nil {
			return "", err
		}
		if text, err = c.withoutHistory(fresh); err != nil {
			return moved, err
		}
	}
	return moved, c.write(text)
}

// Note adds an entry to the history alone, such as a check.
func (c *Card) Note(o probe.Offset) error {
	text, err := probe.AddHistory(c.File, c.Text, o)
	if err != nil {
		return err
	}
	return c.write(text)
}

// write replaces the file, unless somebody else has changed it meanwhile.
func (c *Card) write(text []byte) error {
	now, there, err := readText(c.File)
	if err != nil {
		return err
	}
	if there != c.there || !bytes.Equal(now, c.Text) {
		return &FileError{c.File, "was changed by somebody else meanwhile; nothing was written", "begin again, or give another name with --out", nil}
	}
	if err := replace(c.File, text); err != nil {
		return err
	}
	all, err := probe.ParseOffsets(c.File, text)
	if err != nil {
		return err
	}
	c.Text, c.Offsets, c.there = text, all, true
	return nil
}

// replace puts the file in its place in one move. A link is followed: the file
// that it names is replaced.
func replace(file string, text []byte) error {
	err := wholefile.Replace(file, text)
	switch {
	case errors.Is(err, wholefile.ErrFolder):
		return &FileError{file, "was written, but a power cut may take it back", "", err}
	case err != nil:
		return &FileError{file, "can't be written; the old one is as it was", "check the folder, or give another name with --out", err}
	}
	return nil
}

const archivesMost = 1000

// moveHistory copies the file as it is to the first free name with a number.
func (c *Card) moveHistory() (string, error) {
	for i := 1; i <= archivesMost; i++ {
		name := fmt.Sprintf("%s.%d", c.File, i)
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return name, replace(name, c.Text)
		}
	}
	return "", &FileError{c.File, "has too many earlier files beside it", "move them into another folder", nil}
}

// withoutHistory is the file anew: what is in force, and fresh offsets.
func (c *Card) withoutHistory(fresh []probe.Offset) ([]byte, error) {
	var text []byte
	for i := range c.Offsets.List {
		text = append(text, c.Offsets.List[i].Format("offset")...)
	}
	return probe.Supersede(c.File, text, fresh)
}
