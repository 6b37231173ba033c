package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/fault"
	"fillwright/internal/mimic"
	"fillwright/internal/mimic/port"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/program"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
)

type mimicFlags struct {
	inputs
	pretence
	pty, follow, offline  bool
	practice              bool
	tcp, link, truth, log string
	units                 string
	practised             *practised // nil: no practice
	seed                  uint64
	truthEvery            time.Duration
	rate, speed           float64
}

func mimicCommand(t *terminal) *cobra.Command {
	var o mimicFlags
	var scenes strings.Builder
	for _, s := range mimic.Scenes() {
		fmt.Fprintf(&scenes, "  %-12s %s\n", s.Name, s.About)
	}
	c := &cobra.Command{
		Use: "mimic", Short: "Pretends to be a logger on a vessel, for training and tests",
		Long: "Pretends to be a logger on a vessel, on a pseudo-terminal or a TCP port, or records\n" +
			"a pretended fill as fast as it goes. All that it says is invented. The scenes:\n\n" + scenes.String(),
		Example: "  fillwright mimic --pty --scene rushed\n" +
			"  fillwright mimic --tcp 0.0.0.0:5555 --practice --scene rushed\n" +
			"  fillwright mimic --offline --log invented.fill --truth truth.csv --scene calm --seed 7",
		Args: wanted(0, 0, "options only", "fillwright mimic --pty"),
		RunE: func(c *cobra.Command, _ []string) error { return t.mimic(c.Context(), &o) },
	}
	o.vesselFlag(c, "profile of the pretended vessel; nothing: the invented Plover")
	o.modelFlag(c)
	f := c.Flags()
	f.BoolVar(&o.pty, "pty", false, "serve on a pseudo-terminal; its path is printed")
	f.StringVar(&o.tcp, "tcp", "", "serve on this `address`, such as 127.0.0.1:5555")
	f.StringVar(&o.link, "link", "", "keep a symbolic link at this `path` on the pseudo-terminal")
	f.Uint64Var(&o.seed, "seed", 0, "number that all chance comes from")
	numberVar(f, &o.rate, "rate", 20, "samples a second")
	numberVar(f, &o.speed, "speed", 1, "how many times faster than real time")
	f.BoolVar(&o.follow, "follow", false, "the pretended operator follows the advice")
	f.BoolVar(&o.practice, "practice", false, "you have the valve, by keys; at the end you are told what was true")
	f.StringVar(&o.units, "units", "bar", "units of the gauge and the account of --practice: bar, psi or kPa")
	f.StringVar(&o.truth, "truth", "", "write what is really the case as CSV to this new `file`")
	lapseVar(f, &o.truthEvery, "truth-every", 500*time.Millisecond, "`time` between rows of the truth file")
	f.BoolVar(&o.offline, "offline", false, "record as fast as it goes, with --log, and end")
	f.StringVar(&o.log, "log", "", "run log to make with --offline (`file`)")
	o.pretence.flags(c)
	return c
}

func (o *mimicFlags) check() error {
	switch n := given(o.pty, o.tcp != "", o.offline); {
	case n != 1:
		return usage("mimic needs one of --pty, --tcp and --offline").hint("type for example: fillwright mimic --pty")
	case o.offline != (o.log != ""):
		return usage("--offline and --log go together").hint("type for example: fillwright mimic --offline --log invented.fill")
	case o.practice && (o.offline || o.follow):
		return usage("--practice goes with neither --offline nor --follow").hint("type for example: fillwright mimic --tcp 0.0.0.0:5555 --practice")
	case o.practice && !program.IsTerminal():
		return usage("--practice needs a terminal").hint("without one a pretended operator can have the valve: --follow")
	case o.truthEvery <= 0:
		return usage("--truth-every %s is no time between rows", o.truthEvery).hint("give for example --truth-every 1s")
	case o.truth != "" && isThere(o.truth):
		return thereAlready(o.truth, "give --truth another name, or move it away")
	case o.log != "" && isThere(o.log):
		return thereAlready(o.log, "give --log another name, or move it away")
	case o.link != "" && !o.pty:
		return usage("--link goes with --pty only")
	}
	return nil
}

func isThere(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func (t *terminal) mimic(ctx context.Context, o *mimicFlags) error {
	if err := o.check(); err != nil {
		return err
	}
	if err := o.load(); err != nil {
		return err
	}
	if o.profile == nil {
		o.texts.Profile = vessel.Example()
		p, err := vessel.Parse("the invented vessel", []byte(o.texts.Profile))
		if err != nil {
			return err
		}
		o.profile = p
	}
	scene, opt, err := o.pretence.options(o.profile)
	if err != nil {
		return err
	}
	opt.Seed, opt.RateHz, opt.Speed, opt.Follow = o.seed, o.rate, o.speed, o.follow
	opt.RowEveryS = o.truthEvery.Seconds()
	units, err := quantity.ParseSystem(o.units)
	if err != nil {
		return err
	}
	heard := &observer{Stepper: monitor.New(monitor.Config{Profile: o.profile, Model: o.model})}
	listener := session.NewListener(heard)
	if o.practice {
		o.practised = newPractised(o.profile)
		opt.Operator, heard.seen = o.practised.Hand, append(heard.seen, o.practised.see)
		defer func() { t.account(o.practised, units) }()
	}
	if o.follow {
		opt.Adviser = listener.Advice
	}
	if o.offline {
		return t.mimicOffline(o, scene, opt, listener)
	}
	return t.mimicLive(ctx, o, scene, opt, listener)
}

// mimicLive serves until a signal comes.
func (t *terminal) mimicLive(ctx context.Context, o *mimicFlags, scene mimic.Scene, opt mimic.Options, listener *session.Listener) error {
	ctx, stop := untilSignal(ctx)
	defer stop()
	opt.WaitForHost = true
	d, err := mimic.NewDevice(o.profile, scene, opt)
	if err != nil {
		return usage("%s", err)
	}
	return t.withTruth(o, func(truth *mimic.TruthFile) error {
		path, option := "", "--tcp"
		var wait func() error
		if o.pty {
			option = "--port"
			path, wait, err = port.PTY(ctx, d, o.link)
		} else {
			path, wait, err = port.TCP(ctx, d, o.tcp)
		}
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintln(t.out, path); err != nil {
			return err
		}
		vesselFile := o.vesselFile
		if vesselFile == "" {
			vesselFile = "plover.toml (made by: fillwright profile new --example plover.toml)"
		}
		t.note("an invented logger, scene %s; the time of the vessel begins with the first host; watch it with: fillwright watch %s %s --vessel %s", scene.Name, option, path, vesselFile)
		attend := func(ctx context.Context) error { return o.attend(ctx, d, truth, listener) }
		if o.practised == nil {
			err = attend(ctx)
		} else {
			o.practised.device.Store(d)
			err = beside(ctx, attend, o.practised.atValve(d, scene.Name, path, o.units))
			stop()
		}
		return ended(errors.Join(err, ended(wait())))
	})
}

// attend writes the truth, and lets the operator's own monitor listen as soon
// as the vessel's time has begun: it must not be the first host.
func (o *mimicFlags) attend(ctx context.Context, d *mimic.Device, truth *mimic.TruthFile, listener *session.Listener) error {
	beat := time.NewTicker(50 * time.Millisecond)
	defer beat.Stop()
	listening := make(chan error, 1)
	listens, nextS := false, 0.0
	for {
		select {
		case <-ctx.Done():
			if !listens {
				return nil
			}
			return ended(<-listening)
		case <-beat.C:
		}
		row := d.State()
		if (o.follow || o.practised != nil) && !listens && row.TimeS > 0 {
			listens = true
			go func() {
				listening <- fault.Guard("the pretended logger", func() error { return d.Serve(ctx, listener) })
			}()
		}
		if truth != nil && row.TimeS >= nextS {
			nextS = row.TimeS + o.truthEvery.Seconds()
			if err := errors.Join(truth.Write(row), truth.Flush()); err != nil {
				return err
			}
		}
	}
}

// withTruth opens the truth file, if one is wanted, for the time of body.
func (t *terminal) withTruth(o *mimicFlags, body func(*mimic.TruthFile) error) error {
	if o.truth == "" {
		return body(nil)
	}
	var bodyErr error // what was written until then stays
	err := newFile(o.truth, func(w io.Writer) error {
		truth, err := mimic.NewTruthFile(w, o.profile)
		if err != nil {
			return err
		}
		bodyErr = body(truth)
		return truth.Flush()
	})
	return errors.Join(bodyErr, err)
}
