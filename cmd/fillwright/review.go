package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fillwright/internal/monitor"
	"fillwright/internal/page"
	"fillwright/internal/quantity"
	"fillwright/internal/review"
	"fillwright/internal/runlog"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

type reviewFlags struct {
	inputs
	json, check bool
	units, out  string
}

func reviewCommand(t *terminal) *cobra.Command {
	var o reviewFlags
	o.bare = true
	c := &cobra.Command{
		Use: "review RUN...", Short: "Tells what a recorded fill came to",
		Long: `Tells what a recorded fill came to: the account, what was forecast and what came,
the alarms and how long they stood, sensors, data, entries. A recording is a run
log, a capture of the serial port or a CSV file. Profile, offsets and model are
those recorded, unless others are named; a CSV file brings its own channels and
needs --vessel. What is told is the estimate, made again from the readings.`,
		Example: "  fillwright review monday.fill",
		Args:    wanted(1, -1, "at least one recording", "fillwright review monday.fill"),
		RunE: func(_ *cobra.Command, args []string) error {
			if o.check {
				return t.check(args, o.json)
			}
			return t.review(args, &o)
		},
	}
	o.vesselFlag(c, "vessel profile instead of the recorded one")
	o.modelFlag(c)
	o.offsetsFlag(c)
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print all of it as one JSON object for each recording, a line each")
	f.StringVar(&o.out, "out", "", "write a page with pictures into this new `file`.html; it opens anywhere and fetches nothing")
	f.BoolVar(&o.check, "check", false, "only look whether the recordings are whole: each problem with its place; exit code 1 if there is one")
	f.StringVar(&o.units, "units", "bar", "units: bar, psi or kPa; JSON has bar and °C always")
	return c
}

func (t *terminal) review(paths []string, o *reviewFlags) error {
	if kind := strings.ToLower(filepath.Ext(o.out)); o.out != "" && kind != ".html" && kind != ".htm" {
		return usage("--out %s: the page is HTML", o.out).hint("give it a name that ends in .html; a browser prints it or keeps it as PDF")
	}
	units, err := quantity.ParseSystem(o.units)
	if err != nil {
		return err
	}
	if err := o.load(); err != nil {
		return err
	}
	told := t.begin("reading", false)
	defer told.end()
	var records []*review.Record
	for i, path := range paths {
		r, err := reviewed(path, &o.inputs, func(share float64) { told.at((float64(i) + share) / float64(len(paths))) })
		if err != nil {
			return err
		}
		records = append(records, r)
	}
	if len(records) == 1 {
		told.end()
		return t.tellReview(records[0], o, units)
	}
	fit, why := fitted(paths, &o.inputs)
	told.end()
	return t.tellCompared(records, review.CompareAll(records, fit, why), o, units)
}

// tellReview hands one review out as it was asked for.
func (t *terminal) tellReview(r *review.Record, o *reviewFlags, units quantity.System) error {
	if o.out != "" {
		return t.writePage(o.out, func(w io.Writer) error { return page.Write(w, r, units) })
	}
	return t.show(o.json, r.Text(units), r.JSON)
}

func (t *terminal) writePage(path string, write func(io.Writer) error) error {
	if err := newFile(path, write); err != nil {
		return err
	}
	t.note("%s holds the page", path)
	return nil
}

// reviewed reads a recording through once and draws up what it tells.
func reviewed(path string, in *inputs, told func(share float64)) (*review.Record, error) {
	rec, err := openRecording(path, in)
	if err != nil {
		return nil, err
	}
	r, err := rec.review(told)
	return r, errors.Join(err, rec.reader.Close())
}

// review draws up what the recording tells.
func (rec *recording) review(told func(share float64)) (*review.Record, error) {
	teller, n := review.NewTeller(), 0
	err := rec.play(context.Background(), func() { teller.Begin(rec.profile) }, func(f wire.Frame, s *monitor.Snapshot) error {
		teller.Add(f, s)
		if n++; n%4096 == 0 {
			told(rec.reader.Share())
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	file, err := rec.file()
	if err != nil {
		return nil, err
	}
	return teller.Done(file), nil
}

// file is what there is to say of the recording as a file.
func (rec *recording) file() (review.File, error) {
	r := rec.reader
	out := review.File{Name: r.Name(), Kind: r.Kind().String(), Counts: r.Counts(), Warnings: r.Warnings(), Program: version()}
	var err error
	out.SHA256, err = digested(r.Name(), func(in io.Reader) (err error) {
		out.Bytes, err = io.Copy(io.Discard, in)
		return err
	})
	return out, err
}

// digested has look read the bytes of a recording through, and gives their SHA-256.
func digested(path string, look func(io.Reader) error) (string, error) {
	f, _, err := runlog.OpenFile(path)
	if err != nil {
		return "", err
	}
	sum := sha256.New()
	if err = look(io.TeeReader(f, sum)); err != nil {
		err = &wrongfile.Error{File: path, What: "can't be read", Err: err}
	}
	return hex.EncodeToString(sum.Sum(nil)), errors.Join(err, f.Close())
}
