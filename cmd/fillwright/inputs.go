package main

import (
	"errors"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"fillwright/internal/card"
	"fillwright/internal/gas"
	"fillwright/internal/probe"
	"fillwright/internal/runlog"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// inputs are the files that more than one command reads: the names as given,
// and what was in them. What was not given stays nil.
type inputs struct {
	vesselFile, modelFile, offsetsFile string

	bare bool // the profile may have no channels: a CSV file brings its own

	offsetsDays int // age from which offsets are old

	texts   runlog.Texts
	profile *vessel.Profile
	model   *thermal.Learned
	offsets *probe.Offsets
}

func (in *inputs) vesselFlag(c *cobra.Command, help string) {
	c.Flags().StringVar(&in.vesselFile, "vessel", "", help+" (TOML `file`; see: fillwright profile new)")
}

func (in *inputs) offsetsFlag(c *cobra.Command) {
	c.Flags().StringVar(&in.offsetsFile, "offsets", "", "sensor offsets to take off the readings (TOML `file`; see: fillwright offsets)")
	c.Flags().IntVar(&in.offsetsDays, "offsets-days", card.AgeMostDays, "age in `days` from which offsets are called old")
}

func (in *inputs) modelFlag(c *cobra.Command) {
	c.Flags().StringVar(&in.modelFile, "model", "", "wall model learned from earlier fills (TOML `file`; see: fillwright learn)")
}

// load reads the files that were named.
func (in *inputs) load() (err error) {
	if in.vesselFile != "" {
		if in.texts.Profile, err = read(in.vesselFile, "write one: fillwright profile new vessel.toml"); err != nil {
			return err
		}
		parse := vessel.Parse
		if in.bare {
			parse = vessel.ParseWithoutChannels
		}
		if in.profile, err = parse(in.vesselFile, []byte(in.texts.Profile)); err != nil {
			return err
		}
	}
	if in.offsetsFile != "" {
		if in.texts.Offsets, err = read(in.offsetsFile, "check the name given with --offsets"); err != nil {
			return err
		}
		if in.offsets, err = probe.ParseOffsets(in.offsetsFile, []byte(in.texts.Offsets)); err != nil {
			return err
		}
	}
	if in.modelFile != "" {
		if in.texts.Model, err = read(in.modelFile, "make one: fillwright learn RUN... --vessel vessel.toml --out model.toml"); err != nil {
			return err
		}
		if in.model, err = thermal.ParseLearned(in.modelFile, []byte(in.texts.Model)); err != nil {
			return err
		}
	}
	return checkModel(in.modelFile, in.model, in.profile)
}

// checkModel refuses a model that predicts nonsense on the vessel it is for.
func checkModel(file string, l *thermal.Learned, v *vessel.Profile) error {
	if l == nil || v == nil {
		return nil
	}
	return l.CheckOn(file, v, gas.Table(v.Gas))
}

// textFileMost is far more than any profile, offsets or model has.
const textFileMost = 1 << 20

// read reads a small text file.
func read(path, missing string) (string, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", &runlog.FileError{File: path, What: "there is no such file", Do: missing}
	case err != nil:
		return "", &runlog.FileError{File: path, What: "can't be read", Err: err}
	case info.IsDir():
		return "", &runlog.FileError{File: path, What: "is a folder", Do: "name a file in it"}
	case info.Size() > textFileMost:
		return "", &runlog.FileError{File: path, What: "is far too large for this kind of file", Do: "check the name"}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return "", &runlog.FileError{File: path, What: "can't be read", Err: err}
	}
	return string(data), nil
}
