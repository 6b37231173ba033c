package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"fillwright/internal/inspect"
	"fillwright/internal/quantity"
	"fillwright/internal/runlog"
	"fillwright/internal/wrongfile"
)

// errNotWhole ends a check that found something.
var errNotWhole = errors.New("not whole")

// checked is a recording that was looked through.
type checked struct {
	File     string         `json:"file"`
	Kind     string         `json:"kind"`
	Bytes    int64          `json:"bytes"`
	SHA256   string         `json:"sha256"`
	Frames   uint64         `json:"frames"`
	Parts    int            `json:"parts"`
	Whole    bool           `json:"whole"`
	Problems []checkProblem `json:"problems"`
	More     int            `json:"more_problems"`
}

type checkProblem struct {
	Byte  *int64   `json:"byte"` // null: the place is in the words
	Bytes int64    `json:"bytes"`
	AtS   *float64 `json:"logger_s"`      // of the logger's clock, from the first sample of its part
	Cable bool     `json:"lost_on_cable"` // the file is as it was recorded
	What  string   `json:"what"`
}

// check looks whether recordings are whole and leaves them as they are.
func (t *terminal) check(paths []string, asJSON bool) error {
	var bad error
	for _, path := range paths {
		c, err := checkFile(path)
		if err != nil {
			return err
		}
		if !c.Whole {
			bad = errNotWhole
		}
		if err := c.print(t.out, asJSON); err != nil {
			return err
		}
	}
	return bad
}

// checkFile looks through one recording.
func checkFile(path string) (*checked, error) {
	c := &checked{File: path, Problems: []checkProblem{}}
	r, err := runlog.Open(path, nil)
	if err != nil {
		return nil, err
	}
	kind := r.Kind()
	if err := r.Close(); err != nil {
		return nil, err
	}
	c.Kind = kind.String()
	if kind == runlog.FileCSV {
		var file *wrongfile.Error
		if _, err := runlog.SurveyCSV(path, nil, nil); err != nil && !errors.As(err, &file) {
			return nil, err
		}
		return c, c.table(file)
	}
	if kind == runlog.FileLines {
		return c, c.read(inspect.Lines)
	}
	return c, c.read(inspect.Frames)
}

// read looks through the file's bytes once, with its digest.
func (c *checked) read(look func(io.Reader) (*inspect.Report, error)) error {
	var report *inspect.Report
	sum, err := digested(c.File, func(in io.Reader) (err error) {
		report, err = look(in)
		return err
	})
	if err != nil {
		return err
	}
	c.SHA256 = sum
	c.Bytes, c.Frames, c.Parts, c.More = report.Bytes, report.Frames, report.Parts, report.More
	for i := range report.Problems {
		p := &report.Problems[i]
		one := checkProblem{Byte: &p.Byte, Bytes: p.Bytes, Cable: p.Cable, What: p.What}
		if p.AtMS >= 0 {
			s := float64(p.AtMS) / 1000
			one.AtS = &s
		}
		c.Problems = append(c.Problems, one)
	}
	c.Whole = report.Whole()
	return nil
}

// table tells of a CSV file, which is read with lines instead of bytes.
func (c *checked) table(wrong *wrongfile.Error) error {
	c.Kind = runlog.FileCSV.String()
	err := c.read(func(r io.Reader) (*inspect.Report, error) {
		n, err := io.Copy(io.Discard, r)
		return &inspect.Report{Bytes: n}, err
	})
	if wrong != nil {
		c.Whole, c.Problems = false, []checkProblem{{What: wrong.Error()}}
	}
	return err
}

func (c *checked) print(w io.Writer, asJSON bool) error {
	if asJSON {
		line, err := json.Marshal(c)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "%s\n", line)
		return err
	}
	text := fmt.Sprintf("%s: %s, %d bytes, %d frames in %s\nSHA-256 %s\n", c.File, c.Kind, c.Bytes, c.Frames, partsWord(c.Parts), c.SHA256)
	if c.Kind == runlog.FileCSV.String() {
		text = fmt.Sprintf("%s: %s, %d bytes\nSHA-256 %s\n", c.File, c.Kind, c.Bytes, c.SHA256)
	}
	for _, p := range c.Problems {
		text += "  " + p.place() + p.What + "\n"
	}
	switch {
	case c.Whole:
		text += "whole: nothing is damaged, missing or cut, as far as the file itself can tell\n"
	case c.More > 0:
		text += fmt.Sprintf("  and %d problems more\n", c.More)
	}
	_, err := io.WriteString(w, text)
	return err
}

// place is where a problem lies, for people.
func (p *checkProblem) place() string {
	if p.Byte == nil {
		return ""
	}
	at := fmt.Sprintf("byte %d", *p.Byte)
	if p.AtS != nil {
		at += ", " + quantity.Clock(*p.AtS) + " of the logger's clock"
	}
	return at + ": "
}

func partsWord(n int) string {
	switch n {
	case 0:
		return "a capture"
	case 1:
		return "1 part"
	}
	return fmt.Sprintf("%d parts", n)
}
