package main

import (
	"context"
	"errors"
	"math"

	"github.com/spf13/cobra"

	"fillwright/internal/bend"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

type bendFlags struct {
	inputs
	sun, shade, band, pressure string
	axial, angles              []float64
	onsets, against            []string
	units                      string
	json                       bool
}

func bendCommand(t *terminal) *cobra.Command {
	var o bendFlags
	c := &cobra.Command{
		Use: "bend [RUN]", Short: "Tells what a warm side does to the vessel, and which layup would not",
		Long: `Tells how far the vessel bows when one side is warmer than the other, and what is
left of its stiffness: for the wall as built and for others. It needs the wall's
[[ply]] sections in the profile. Give the two temperatures, or a recorded fill: then
the moment counts in which the sides differed most in stiffness.

How a resin softens is known so badly that a bow may be off by a factor of 2 to 3.
Rank layups by it, and stop by it; do not count on its millimetres.`,
		Args: wanted(0, 1, "at most one recording", `fillwright bend --vessel vessel.toml --sun "58 °C" --shade "36 °C"`),
		RunE: func(c *cobra.Command, args []string) error { return t.bend(c.Context(), args, &o) },
	}
	o.vesselFlag(c, "profile of the vessel, with [[ply]] sections")
	o.modelFlag(c)
	o.offsetsFlag(c)
	f := c.Flags()
	f.StringVar(&o.sun, "sun", "", "`temperature` of the wall on the warm side")
	f.StringVar(&o.shade, "shade", "", "`temperature` of the wall on the cool side")
	f.StringVar(&o.band, "band", "2 °C", "how far --sun may be off, 19 times in 20")
	f.StringVar(&o.pressure, "pressure", "", "`pressure` in the vessel with --sun and --shade (without: the target)")
	f.Float64SliceVar(&o.axial, "axial", nil, "compare: this `share` of the wall laid along the vessel, 0 to 1")
	f.Float64SliceVar(&o.angles, "angle", nil, "compare: wound layers and sleeves at this angle from the axis, `degrees`")
	f.StringSliceVar(&o.onsets, "onset", nil, "compare: a resin that softens from this `temperature`")
	f.StringSliceVar(&o.against, "against", nil, "compare: plies and resin of another profile (TOML `file`) on this vessel")
	f.StringVar(&o.units, "units", "bar", "units: bar, psi or kPa")
	f.BoolVar(&o.json, "json", false, "print the result as one JSON object")
	return c
}

func (t *terminal) bend(ctx context.Context, args []string, o *bendFlags) error {
	units, err := quantity.ParseSystem(o.units)
	if err != nil {
		return err
	}
	if err := o.load(); err != nil {
		return err
	}
	var at bend.Moment
	p := o.profile
	switch given := o.sun != "" || o.shade != ""; {
	case len(args) == 1 && given:
		return usage("a recording and --sun or --shade exclude each other").hint("give one of them")
	case len(args) == 1:
		p, at, err = t.worstOf(ctx, args[0], o)
	default:
		at, err = o.moment()
	}
	if err != nil {
		return err
	}
	own, ok := bend.AsBuilt(p)
	if !ok {
		return noPlies(p)
	}
	layups, err := o.compared(own, p)
	if err != nil {
		return err
	}
	r := bend.NewReport(p.Name, float64(p.Resin.Onset), p.Limits.SidesStiffnessLeast, at, layups)
	return t.show(o.json, bend.Text(r, units), func() ([]byte, error) { return bend.JSON(r) })
}

func noPlies(p *vessel.Profile) error {
	return usage("the profile of %s has no [[ply]] sections, so nothing is known of how its wall is laid up", p.Name).
		hint("add them; an example is in: fillwright profile new", "then type: fillwright profile check vessel.toml")
}

// moment is that of the two temperatures.
func (o *bendFlags) moment() (bend.Moment, error) {
	m := bend.Moment{TimeS: math.NaN()}
	if o.profile == nil {
		return m, needsVessel("bend", "")
	}
	if o.sun == "" || o.shade == "" {
		return m, usage("bend needs the temperatures of both sides, or a recording").
			hint(`type for example: fillwright bend --vessel vessel.toml --sun "58 °C" --shade "36 °C"`, "or: fillwright bend fill.run")
	}
	sun, err1 := quantity.ParseTemperature(o.sun)
	shade, err2 := quantity.ParseTemperature(o.shade)
	band, err3 := quantity.ParseDifference(o.band)
	pressure, err4 := o.profile.Fill.Target, error(nil)
	if o.pressure != "" {
		pressure, err4 = quantity.ParsePressure(o.pressure)
	}
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		return m, err
	}
	switch {
	case sun < shade:
		return m, usage("--sun %v is below --shade %v", sun, shade).hint("give the warmer side with --sun")
	case shade < quantity.Celsius(-100) || sun > quantity.Celsius(400):
		return m, usage("%v to %v is no range that a resin's curve holds for", shade, sun).hint("give temperatures of the wall from -100 to 400 °C")
	case band < 0 || pressure < 0:
		return m, usage("--band and --pressure can't be below 0").hint(`give for example --band "2 °C" --pressure "40 bar"`)
	}
	place := func(name string, t quantity.Temperature, band quantity.Difference) bend.Place {
		return bend.Place{Name: name, InnerK: float64(t), OuterK: float64(t), BandK: float64(band)}
	}
	m.PressurePa, m.Warm, m.Cool = float64(pressure), place("sunny", sun, band), place("shaded", shade, 0)
	return m, nil
}

// compared are the wall as built and those asked for, else the usual ones.
func (o *bendFlags) compared(own bend.Layup, p *vessel.Profile) ([]bend.Layup, error) {
	out := []bend.Layup{own}
	var wrong error
	add := func(l bend.Layup, err error, flag string, value any) {
		if err != nil && wrong == nil {
			wrong = usage("--%s %v: %v", flag, value, err).hint("the options are listed by: fillwright bend --help")
		}
		out = append(out, l)
	}
	for _, x := range o.axial {
		l, err := own.WithAxial(x)
		add(l, err, "axial", x)
	}
	for _, x := range o.angles {
		l, err := own.WithAngle(x)
		add(l, err, "angle", x)
	}
	for _, text := range o.onsets {
		onset, err := quantity.ParseTemperature(text)
		if err != nil {
			return nil, err
		}
		l, err := own.WithOnset(float64(onset), float64(p.Resin.Onset))
		add(l, err, "onset", text)
	}
	for _, path := range o.against {
		other := inputs{vesselFile: path}
		if err := other.load(); err != nil {
			return nil, err
		}
		l, err := own.WithPlies(other.profile)
		add(l, err, "against", path)
	}
	if len(out) == 1 {
		out = append(out, own.Usual(float64(p.Resin.Onset))...)
	}
	return out, wrong
}

// worstOf replays a recording through the monitor and finds the moment in which
// its sides differed most in stiffness.
func (t *terminal) worstOf(ctx context.Context, path string, o *bendFlags) (*vessel.Profile, bend.Moment, error) {
	rec, err := openRecording(path, &o.inputs)
	if err != nil {
		return nil, bend.Moment{}, err
	}
	rec.tell(t)
	p := rec.profile
	tube := p.Tube()
	if tube == nil {
		return p, bend.Moment{}, errors.Join(noPlies(p), rec.reader.Close())
	}
	worst := bend.NewWorst(tube)
	err = rec.play(ctx, nil, func(_ wire.Frame, s *monitor.Snapshot) error {
		if s.Sides.Known {
			worst.Add(s.TimeS, s.PressurePa, []bend.Place{s.Sides.Warm, s.Sides.Cool})
		}
		return nil
	})
	if err = errors.Join(err, rec.reader.Close()); err != nil {
		return p, bend.Moment{}, err
	}
	m, found := worst.Moment()
	if !found {
		err = usage("%s has no moment under pressure with both sides known", path).
			hint(`give both temperatures instead: --sun "58 °C" --shade "36 °C"`)
	}
	return p, m, err
}
