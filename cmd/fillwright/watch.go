package main

import (
	"context"
	"strings"
	"sync/atomic"

	"github.com/spf13/cobra"

	"fillwright/internal/logger"
	"fillwright/internal/mimic"
	"fillwright/internal/screen"
	"fillwright/internal/vessel"
)

type watchFlags struct {
	inputs
	output
	cable
	from, log        string
	noLog, demo      bool
	scene            string
	follow, practice bool
	onAbort          string
	speed            float64
	late             atomic.Pointer[string] // what was left to tell at the end
	trail            *screen.Trail          // nil: there is no screen
	practised        *practised             // nil: no practice
	planFile         string
	plan             *fromPlan // nil: nothing was planned
}

func watchCommand(t *terminal) *cobra.Command {
	var o watchFlags
	c := &cobra.Command{
		Use: "watch", Short: "Watches a fill and advises",
		Long: `Watches a fill: reads the logger, shows pressure, wall and advice, and records
everything. It advises and never drives a valve. Without a terminal it prints plain
lines. --demo shows an invented fill of an invented vessel.`,
		Example: "  fillwright watch --demo\n" +
			"  fillwright watch --port /dev/ttyUSB0 --vessel vessel.toml --model model.toml",
		Args: wanted(0, 0, "options only", "fillwright watch --port /dev/ttyUSB0 --vessel vessel.toml"),
		RunE: func(c *cobra.Command, _ []string) error {
			if err := o.check(c.Flags().Changed); err != nil {
				return err
			}
			return t.watch(c.Context(), &o)
		},
	}
	o.vesselFlag(c, "profile of the vessel")
	o.modelFlag(c)
	o.offsetsFlag(c)
	o.output.flags(c)
	o.cable.flags(c)
	o.formatFlag(c)
	f := c.Flags()
	f.StringVar(&o.log, "log", "", "run log to record into (`file`; appended to if it is there)")
	f.BoolVar(&o.noLog, "no-log", false, "record nothing")
	f.StringVar(&o.from, "from", "", "a second screen: follow the run log (`file`) of a watch elsewhere, or - for a pipe; it records and enters nothing")
	f.BoolVar(&o.demo, "demo", false, "an invented fill instead of a logger")
	f.StringVar(&o.scene, "scene", "calm", "scene of the demo (see: fillwright mimic --help)")
	f.BoolVar(&o.follow, "follow", false, "the demo's operator follows the advice")
	f.BoolVar(&o.practice, "practice", false, "you have the valve of the demo, by keys; at the end you are told what was true")
	f.Float64Var(&o.speed, "speed", 1, "of a pretended logger: the same as its mimic --speed")
	f.StringVar(&o.planFile, "plan", "", "start from the plan of this day (TOML `file`; see: fillwright plan --out)")
	f.StringVar(&o.onAbort, "on-abort", "", "`command` to run once for each new abort (a siren, a message); it never holds the watch up")
	return c
}

// check refuses what can't be meant; named says whether an option was.
func (o *watchFlags) check(named func(string) bool) error {
	switch n := given(o.port != "", o.tcp != "", o.demo, o.from != ""); {
	case n == 0:
		return usage("watch needs to know where the logger is").hint(
			"give --port /dev/ttyUSB0 or --tcp host:port; for the list of ports type: fillwright ports",
			"without a logger there is: fillwright watch --demo")
	case n > 1:
		return usage("--port, --tcp, --demo and --from exclude each other").hint("give one of them")
	case o.demo && o.vesselFile != "":
		return usage("the demo brings its own invented vessel; --vessel does not go with --demo").hint(
			"for your own vessel with a pretended logger, in two terminals:",
			"fillwright mimic --pty --vessel "+o.vesselFile, "fillwright watch --port PATH --vessel "+o.vesselFile)
	case o.demo && o.planFile != "":
		return usage("the demo brings its own invented vessel; --plan does not go with --demo").hint(
			"to follow a plan with a pretended logger, in two terminals:",
			"fillwright mimic --pty", "fillwright watch --port PATH --vessel plover.toml --plan "+o.planFile)
	case !o.demo && o.from == "" && o.vesselFile == "":
		return needsVessel("watch", "")
	case !(o.speed >= 0.1 && o.speed <= 1000):
		return usage("--speed %g is outside 0.1 to 1000", o.speed).hint("leave it out for a real logger; it is for: fillwright mimic --speed")
	case o.noLog && o.log != "":
		return usage("--log and --no-log exclude each other").hint("give one of them")
	case o.practice && o.follow:
		return usage("--practice and --follow exclude each other").hint("with --follow a pretended operator has the valve, with --practice you")
	case o.practice && !o.onScreen():
		return usage("--practice needs a terminal, and neither --plain nor --json").hint("lines alone come from: fillwright watch --demo --plain")
	case named("on-abort") && strings.TrimSpace(o.onAbort) == "":
		return usage("--on-abort has no command").hint("give one, such as --on-abort \"aplay siren.wav\", or leave it out")
	}
	if o.from != "" {
		return o.checkFrom(named)
	}
	for _, name := range []string{"scene", "follow", "practice"} {
		if named(name) && !o.demo {
			return usage("--%s is for the demo, and a logger was named", name).hint("leave it out, or give --demo instead of the logger")
		}
	}
	return o.checkBaud()
}

// minded refuses to watch a logger with a template, and tells where a profile
// is that of the vessel that does not exist.
func (t *terminal) minded(o *watchFlags) error {
	if o.demo {
		return nil
	}
	still, all := vessel.Untouched(o.profile)
	if o.profile.Template {
		e := usage("%s is still the template: it describes Plover, a vessel that does not exist", o.vesselFile)
		if len(still) > 0 {
			e = e.hint("still Plover's: " + strings.Join(still, ", "))
		}
		return e.hint("put your vessel's numbers in, delete the line template = true, then type: fillwright profile check "+o.vesselFile,
			"to practise with a pretended logger: fillwright profile new --example plover.toml")
	}
	if all {
		t.note("%s describes Plover, a vessel that does not exist: for a pretended logger only", o.vesselFile)
	}
	return nil
}

func (t *terminal) watch(ctx context.Context, o *watchFlags) error {
	opt, err := o.options()
	if err != nil {
		return err
	}
	decoder, err := o.decoder()
	if err != nil {
		return err
	}
	open := opening(func(ctx context.Context) (*live, error) { return t.openSession(ctx, o, nil, decoder) })
	if o.demo {
		if open, err = t.demo(o, &opt, decoder); err != nil {
			return err
		}
	}
	if o.practised != nil {
		defer t.account(o.practised, opt.Units)
	}
	if err := o.load(); err != nil {
		return err
	}
	if o.from != "" {
		return t.watchFrom(ctx, o, opt)
	}
	if err := t.minded(o); err != nil {
		return err
	}
	if err := o.takePlan(); err != nil {
		return err
	}
	if o.plan != nil {
		opt.Planned = &o.plan.screen
		most := "at most " + opt.Units.Ramp(o.plan.screen.RampPaS)
		if !(o.plan.screen.RampPaS > 0) {
			most = "a no-go"
		}
		t.note("target %s and the sun of the day are those of %s; planned: air %s, %s", opt.Units.Pressure(o.plan.targetPa), o.planFile,
			opt.Units.Temperature(o.plan.screen.AirK), most)
	}
	t.tellOffsets(&o.inputs)
	opt.Profile = o.profile
	if o.onScreen() {
		o.trail = screen.NewTrail()
		opt.Trail = o.trail
	}
	defer func() {
		if text := o.late.Load(); text != nil {
			t.note("%s", *text)
		}
	}()
	switch {
	case o.onScreen() && o.demo:
		return t.demoOnScreen(ctx, open, opt)
	case o.onScreen():
		return t.watchOnScreen(ctx, open, opt)
	}
	return t.watchAsLines(ctx, open, o.lines(opt.Units))
}

// demo readies the demo's vessel, and a hand for who practises; it says how to open it.
func (t *terminal) demo(o *watchFlags, opt *screen.Options, decoder *logger.Auto) (opening, error) {
	scene, err := mimic.FindScene(o.scene)
	if err != nil {
		return nil, usage("%s", err)
	}
	if err := o.demoProfile(); err != nil {
		return nil, err
	}
	if o.practice {
		o.practised = newPractised(o.profile)
		opt.Valves = o.practised
	}
	return func(ctx context.Context) (*live, error) { return t.openDemo(ctx, o, scene, decoder) }, nil
}
