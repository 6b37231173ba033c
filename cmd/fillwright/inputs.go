package main

import (
	"github.com/spf13/cobra"

	"fillwright/internal/gas"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wholefile"
	"fillwright/internal/wire"
)

// inputs are the files that more than one command reads: the names as given,
// and what was in them. What was not given stays nil.
type inputs struct {
	vesselFile, modelFile, offsetsFile string

	bare bool // the profile may have no channels: a CSV file brings its own

	texts   wire.Texts
	profile *vessel.Profile
	model   *wallmodel.Learned
	offsets *probe.Offsets
}

func (in *inputs) vesselFlag(c *cobra.Command, help string) {
	c.Flags().StringVar(&in.vesselFile, "vessel", "", help+" (TOML `file`; see: fillwright profile new)")
}

func (in *inputs) offsetsFlag(c *cobra.Command) {
	c.Flags().StringVar(&in.offsetsFile, "offsets", "", "sensor offsets to take off the readings (TOML `file`; see: fillwright offsets)")
}

func (in *inputs) modelFlag(c *cobra.Command) {
	c.Flags().StringVar(&in.modelFile, "model", "", "wall model learned from earlier fills (TOML `file`; see: fillwright learn)")
}

func needsVessel(command, why string) *usageError {
	return usage("%s needs the profile of the vessel%s", command, why).
		hint("give it: --vessel vessel.toml", "to write one type: fillwright profile new vessel.toml")
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
		text, err := read(in.offsetsFile, "check the name given with --offsets")
		if err != nil {
			return err
		}
		all, err := probe.ParseOffsets(in.offsetsFile, []byte(text))
		if err != nil {
			return err
		}
		// Recorded are those in force, and used is what is recorded.
		in.texts.Offsets = all.Format()
		if in.offsets, err = probe.ParseOffsets(in.offsetsFile, []byte(in.texts.Offsets)); err != nil {
			return err
		}
	}
	if in.modelFile != "" {
		if in.texts.Model, err = read(in.modelFile, "make one: fillwright learn RUN... --vessel vessel.toml --out model.toml"); err != nil {
			return err
		}
		if in.model, err = wallmodel.ParseLearned(in.modelFile, []byte(in.texts.Model)); err != nil {
			return err
		}
	}
	return checkModel(in.modelFile, in.model, in.profile)
}

// recorded are offsets and model to use with a recording of that name: those that
// were named, else those of the texts that it holds.
func (in *inputs) recorded(name, offsets, model string) (off *probe.Offsets, l *wallmodel.Learned, err error) {
	if off = in.offsets; off == nil && offsets != "" {
		if off, err = probe.ParseOffsets(name+" (recorded offsets)", []byte(offsets)); err != nil {
			return nil, nil, err
		}
	}
	if l = in.model; l == nil && model != "" {
		l, err = wallmodel.ParseLearned(name+" (recorded model)", []byte(model))
	}
	return off, l, err
}

// checkModel refuses a model that predicts nonsense on the vessel it is for.
func checkModel(file string, l *wallmodel.Learned, v *vessel.Profile) error {
	if l == nil || v == nil {
		return nil
	}
	return l.CheckOn(file, v, gas.Table(v.Gas))
}

// read reads a small text file.
func read(path, missing string) (string, error) {
	data, err := wholefile.Read(path, missing)
	return string(data), err
}
