package main

import (
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/learn"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wholefile"
)

type learnFlags struct {
	inputs
	out, variant, name string
	json, force        bool
}

func learnCommand(t *terminal) *cobra.Command {
	var o learnFlags
	o.bare = true
	c := &cobra.Command{
		Use: "learn RUN...", Short: "Fits the wall model to earlier fills",
		Long: `Fits the wall model to earlier fills of one vessel and tells how sure it is. Each
variant of the model is fitted to all fills and to all but one; the variant that
predicts the left-out fills best is chosen. Give at least three fills with wall
sensors or hand-held surface readings.`,
		Args: wanted(1, -1, "the recordings of earlier fills", "fillwright learn monday.fill tuesday.csv --vessel vessel.toml --out model.toml"),
		RunE: func(_ *cobra.Command, args []string) error { return t.learn(args, &o) },
	}
	o.vesselFlag(c, "profile of the vessel")
	o.offsetsFlag(c)
	f := c.Flags()
	f.StringVar(&o.out, "out", "", "write the model to this `file` (see: fillwright watch --model)")
	f.StringVar(&o.variant, "variant", "", "fit this variant instead of choosing")
	f.StringVar(&o.name, "name", "", "name of the model; nothing: the vessel's name and the date")
	f.BoolVar(&o.json, "json", false, "print the result as one JSON object")
	f.BoolVar(&o.force, "force", false, "put the model in the place of one that is there")
	return c
}

func (t *terminal) learn(paths []string, o *learnFlags) error {
	if err := o.load(); err != nil {
		return err
	}
	if o.profile == nil {
		return needsVessel("learn", "")
	}
	if err := o.checkOut(paths); err != nil {
		return err
	}
	if _, known := wallmodel.VariantNamed(o.variant); o.variant != "" && !known {
		return usage("there is no variant %q", o.variant).hint("give one of: " + variantNames())
	}
	t.tellOffsets(&o.inputs)
	var fills []*learn.Fill
	told := t.begin("learning", false)
	defer told.end()
	for i, path := range paths {
		told.at(readShare * float64(i) / float64(len(paths)))
		f, err := runlog.ReadFill(path, o.profile, o.offsets)
		if err != nil {
			return err
		}
		if err := t.doubted(path, o.profile); err != nil {
			return err
		}
		for _, p := range f.Problems {
			t.note("%s: not read: %v", path, p)
		}
		fills = append(fills, &f.Fill)
	}
	today := time.Now().Format(time.DateOnly)
	if o.name == "" {
		o.name = o.profile.Name + " " + today
	}
	r, err := learn.Learn(o.profile, fills, learn.Options{Variant: o.variant, Name: o.name, Date: today,
		Told: func(share float64) { told.at(readShare + (1-readShare)*share) }})
	told.end()
	if err != nil {
		return err
	}
	if err := t.show(o.json, learn.Text(r), func() ([]byte, error) { return learn.JSON(r) }); err != nil || o.out == "" {
		return err
	}
	return t.writeModel(r, o.out)
}

// doubted tells what looks wrong in a table that is learned from as it is.
func (t *terminal) doubted(path string, p *vessel.Profile) error {
	if csv, err := runlog.IsCSV(path); err != nil || !csv {
		return err
	}
	s, err := runlog.SurveyCSV(path, p, nil)
	if err != nil {
		return err
	}
	for _, d := range s.Doubts {
		t.note("%s: looks wrong: %s", path, d)
	}
	return nil
}

// checkOut refuses to write the model over anything but a model, and that only
// with --force.
func (o *learnFlags) checkOut(paths []string) error {
	if o.out == "" {
		return nil
	}
	there, err := os.Stat(o.out)
	if err != nil {
		return nil // nothing is there; what is wrong with the folder the writing will tell
	}
	for _, input := range append([]string{o.vesselFile, o.offsetsFile}, paths...) {
		if info, err := os.Stat(input); input != "" && err == nil && os.SameFile(info, there) {
			return usage("%s is what the model is learned from", o.out).hint("give --out another name")
		}
	}
	return mayReplace(o.out, "model", o.force, func(text []byte) error {
		_, err := wallmodel.ParseLearned(o.out, text)
		return err
	})
}

// readShare is how much of the work of learning the reading is, about.
const readShare = 0.05

func variantNames() string {
	var names []string
	for _, r := range wallmodel.Variants() {
		names = append(names, r.Name)
	}
	return strings.Join(names, ", ")
}

// writeModel puts the model into its place in one move.
func (t *terminal) writeModel(r *learn.Result, path string) error {
	text, err := r.Model.Format()
	if err != nil {
		return err
	}
	if err := wholefile.Replace(path, text); err != nil {
		return fmt.Errorf("the model can't be written: %w\n  give --out another name", err)
	}
	t.note("%s holds the model; use it with: fillwright watch --model %s", path, path)
	return nil
}
