package main

import (
	"errors"

	"fillwright/internal/probe"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// recording is an open recording with what it is to be read with: the files
// named on the command line, else the texts recorded in it.
type recording struct {
	reader  *runlog.Reader
	given   *inputs
	profile *vessel.Profile
	offsets *probe.Offsets
	model   *wallmodel.Learned // nil: none was recorded or named
}

func openRecording(path string, in *inputs) (*recording, error) {
	r, err := runlog.Open(path, stationsOf(in.profile))
	if err != nil {
		return nil, err
	}
	rec := &recording{reader: r, given: in}
	if err := rec.begin(); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	return rec, nil
}

// begin takes up the texts of the part of the recording that was reached.
func (rec *recording) begin() (err error) {
	r := rec.reader
	if text := r.Texts().Profile; rec.given.profile == nil && text != "" {
		rec.profile, err = vessel.Parse(r.Name()+" (recorded profile)", []byte(text))
	} else {
		rec.profile, err = r.ProfileFor(rec.given.profile)
	}
	if err != nil {
		return err
	}
	if r.Kind() == runlog.FileCSV && rec.given.offsets != nil {
		return usage("%s is a CSV file: its values are finished, and --offsets is for raw ones", r.Name()).hint("leave --offsets out")
	}
	if rec.offsets, rec.model, err = rec.given.recorded(r.Name(), r.Texts().Offsets, r.Texts().Model); err != nil {
		return err
	}
	return checkModel(r.Name()+" (recorded model)", rec.model, rec.profile)
}

// tell prints what is not whole in the recording.
func (rec *recording) tell(t *terminal) {
	for _, w := range rec.reader.Warnings() {
		t.note("%s: %s", rec.reader.Name(), w)
	}
}
