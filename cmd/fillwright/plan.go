package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fillwright/internal/padcard"
	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen"
	"fillwright/internal/screen/planning"
	"fillwright/internal/wholefile"
)

type planFlags struct {
	inputs
	day   string            // file of a kept day
	said  map[string]string // by the field's key
	show  output
	out   string
	card  string
	force bool
}

func planCommand(t *terminal) *cobra.Command {
	o := planFlags{said: map[string]string{}}
	c := &cobra.Command{
		Use: "plan", Short: "Answers before the day: go, how fast, how long it may stand, which remedy buys most",
		Long: `Answers before the day, with the model of the live screen: can the vessel be
filled at that hour, how fast, how long may it stand, and which remedy buys most.
Say what you know of the day; what you do not say is taken wide, and the answer
tells which of it would narrow it most.

A plan is no promise. It knows heat, not whether the vessel is sound. The exit
code is 3 for a no-go.`,
		Args: wanted(0, 0, "no file names", `fillwright plan --vessel vessel.toml --air "31 °C" --sun "850 W/m²" --wind "2 m/s"`),
		RunE: func(c *cobra.Command, _ []string) error { return t.plan(c.Context(), &o) },
	}
	o.vesselFlag(c, "profile of the vessel")
	o.modelFlag(c)
	f := c.Flags()
	for _, field := range plan.Fields() {
		f.Var(&saying{o.said, field.Key}, field.Key, field.About+", such as "+field.Example)
	}
	f.StringVar(&o.day, "day", "", "begin with a day that was kept (TOML `file`, of --out); other options change it")
	f.StringVar(&o.out, "out", "", "keep the day in this TOML `file`, for: fillwright watch --plan")
	f.StringVar(&o.card, "card", "", "write the card for the pad to this `file`: FILE.html prints on A5, FILE.txt is plain text")
	f.BoolVar(&o.force, "force", false, "put --out and --card in the place of files that are there")
	f.StringVar(&o.show.units, "units", "bar", "units: bar, psi or kPa")
	f.BoolVar(&o.show.plain, "plain", false, "tables instead of the screen")
	f.BoolVar(&o.show.json, "json", false, "print the plan as one JSON object")
	f.BoolVar(&o.show.ascii, "ascii", false, "draw with ASCII only")
	f.StringVar(&o.show.look, "look", "plain", "colours of the screen: plain, sun or night")
	return c
}

// saying is an option that says something of the day. It is read once the kept day
// is known, which it changes.
type saying struct {
	said map[string]string
	key  string
}

// Set implements pflag.Value.
func (s *saying) Set(text string) error {
	s.said[s.key] = text
	return nil
}

// String implements pflag.Value.
func (s *saying) String() string { return s.said[s.key] }

// Type implements pflag.Value.
func (s *saying) Type() string { return "text" }

// errNoGo ends a plan that says no-go; its lines have said so.
var errNoGo = errors.New("the plan is a no-go")

func (t *terminal) plan(ctx context.Context, o *planFlags) error {
	opt, err := o.show.options()
	if err != nil {
		return err
	}
	setup, err := o.setup()
	if err != nil {
		return err
	}
	if o.show.onScreen() {
		return t.planOnScreen(ctx, *setup, o, opt)
	}
	p := plan.Make(*setup)
	if err := t.show(o.show.json, plan.Text(&p, opt.Units), func() ([]byte, error) { return plan.JSON(&p) }); err != nil {
		return err
	}
	if err := errors.Join(o.keep(t, &p), o.writeCard(t, &p, opt.Units)); err != nil {
		return err
	}
	if p.Answer.Verdict == plan.NoGo {
		return errNoGo
	}
	return nil
}

// planOnScreen shows the plan until the operator quits; then the day as it was left
// is kept, if that was asked for.
func (t *terminal) planOnScreen(ctx context.Context, s plan.Setup, o *planFlags, opt screen.Options) error {
	left, err := planning.Run(ctx, s, planning.Options{Units: opt.Units, Look: opt.Look, Depth: opt.Depth, ASCII: opt.ASCII})
	if err != nil || o.out == "" && o.card == "" {
		return err
	}
	if names := left.InPlace(); names != "" {
		t.note("the day is kept without what was only tried on the screen: %s", names)
	}
	p := plan.Make(left.Setup())
	return errors.Join(o.keep(t, &p), o.writeCard(t, &p, opt.Units))
}

// setup is what the files and the options say.
func (o *planFlags) setup() (*plan.Setup, error) {
	if err := o.load(); err != nil {
		return nil, err
	}
	if o.profile == nil {
		return nil, needsVessel("plan", "")
	}
	day := plan.NewDay()
	if o.day != "" {
		text, err := read(o.day, "make one: fillwright plan --vessel vessel.toml --out day.toml")
		if err != nil {
			return nil, err
		}
		kept, err := plan.ParseKept(o.day, []byte(text))
		if err != nil {
			return nil, err
		}
		if err := kept.CheckOn(o.day, o.profile); err != nil {
			return nil, err
		}
		day = kept.Day
	}
	for _, f := range plan.Fields() { // in their order: place and date before what needs them
		text, given := o.said[f.Key]
		if !given {
			continue
		}
		if err := f.Set(&day, text); err != nil {
			return nil, usage("--%s %s", f.Key, err)
		}
	}
	s := plan.NewSetup(o.profile, o.model, day)
	if err := s.Sound(); err != nil {
		return nil, err
	}
	return &s, nil
}

// keep writes the day's file.
func (o *planFlags) keep(t *terminal, p *plan.Plan) error {
	if o.out == "" {
		return nil
	}
	err := mayReplace(o.out, "day", o.force, func(text []byte) error {
		_, err := plan.ParseKept(o.out, text)
		return err
	})
	if err != nil {
		return err
	}
	if err := wholefile.Replace(o.out, plan.Format(p)); err != nil {
		return fmt.Errorf("the day can't be written: %w\n  give --out another name", err)
	}
	t.note("%s holds the day; fill by it with: fillwright watch --plan %s", o.out, o.out)
	return nil
}

// writeCard writes the card for the pad.
func (o *planFlags) writeCard(t *terminal, p *plan.Plan, units quantity.System) error {
	if o.card == "" {
		return nil
	}
	kind := strings.ToLower(filepath.Ext(o.card))
	if kind != ".html" && kind != ".txt" {
		return usage("--card %s says by its name neither page nor text", o.card).hint("give --card card.html or --card card.txt")
	}
	c := padcard.New(p, units)
	text, err := c.Page()
	if kind == ".txt" {
		text, err = []byte(c.Text()), nil
	}
	if err != nil {
		return err
	}
	if _, err := os.Stat(o.card); err == nil && !o.force {
		return usage("%s is there already", o.card).hint("give --card another name, or --force to put the new card in its place")
	}
	if err := wholefile.Replace(o.card, text); err != nil {
		return fmt.Errorf("the card can't be written: %w\n  give --card another name", err)
	}
	t.note("%s is the card for the pad", o.card)
	return nil
}
