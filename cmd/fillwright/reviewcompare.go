package main

import (
	"fmt"
	"io"

	"fillwright/internal/learn"
	"fillwright/internal/page"
	"fillwright/internal/quantity"
	"fillwright/internal/review"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
)

// tellCompared hands a comparison out as it was asked for. JSON has each review
// before it.
func (t *terminal) tellCompared(records []*review.Record, c *review.Compared, o *reviewFlags, units quantity.System) error {
	switch {
	case len(c.Rows) == 0:
		return usage("no fill is in these recordings: there is nothing to compare").hint("look at one: fillwright review " + records[0].File.Name)
	case o.out != "":
		return t.writePage(o.out, func(w io.Writer) error { return page.WriteCompared(w, c, version(), units) })
	case o.json:
		for _, r := range records {
			if err := t.tellReview(r, o, units); err != nil {
				return err
			}
		}
	}
	return t.show(o.json, c.Text(units), c.JSON)
}

// fitMost is the most recordings that the wall model is fitted to for a
// comparison; each one more is another fit that leaves it out.
const fitMost = 12

// comparedVariant is the variant of the fit: the one that learn prefers.
const comparedVariant = "layered-jet"

// fitted fits the wall model to the recordings, and says why where it can't.
func fitted(paths []string, in *inputs) (fit *learn.Result, why string) {
	if len(paths) > fitMost {
		return nil, fmt.Sprintf("more than %d recordings; learn fits as many as you give it", fitMost)
	}
	var vessels []*vessel.Profile
	var fills []*learn.Fill
	for _, path := range paths {
		v, f, err := fillOf(path, in)
		if err != nil {
			return nil, err.Error()
		}
		if vessels = append(vessels, v); v.Name != vessels[0].Name {
			return nil, "these are not one vessel's fills"
		}
		fills = append(fills, f)
	}
	fit, err := learn.Learn(vessels[0], fills, learn.Options{Variant: comparedVariant})
	if err != nil {
		return nil, err.Error()
	}
	return fit, ""
}

// fillOf reads a recording as one fill, with the profile and the offsets that it
// is reviewed with.
func fillOf(path string, in *inputs) (*vessel.Profile, *learn.Fill, error) {
	rec, err := openRecording(path, in)
	if err != nil {
		return nil, nil, err
	}
	if err := rec.reader.Close(); err != nil {
		return nil, nil, err
	}
	v := in.profile
	if v == nil {
		v = rec.profile
	}
	f, err := runlog.ReadFill(path, v, rec.offsets)
	if err != nil {
		return nil, nil, err
	}
	return v, &f.Fill, nil
}
