package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"math"

	"github.com/spf13/cobra"

	"fillwright/internal/alarm"
	"fillwright/internal/lines"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

type replayFlags struct {
	inputs
	output
	speed                       string
	withoutWall, withoutSurface bool
}

func replayCommand(t *terminal) *cobra.Command {
	var o replayFlags
	o.bare = true
	c := &cobra.Command{
		Use: "replay RUN", Short: "Shows a recorded fill through the same monitor and screen",
		Long: `Shows a recorded fill: a run log, a capture of the serial port or a CSV file.
Profile, offsets and model are those recorded, unless others are named; a CSV file
brings its own channels and needs --vessel. Without a terminal it prints plain
lines. The exit code is 3 when an abort was raised.`,
		Args: wanted(1, 1, "one recording", "fillwright replay fill.run"),
		RunE: func(c *cobra.Command, args []string) error { return t.replay(c.Context(), args[0], &o) },
	}
	o.vesselFlag(c, "vessel profile instead of the recorded one")
	o.modelFlag(c)
	o.offsetsFlag(c)
	o.output.flags(c)
	f := c.Flags()
	f.StringVar(&o.speed, "speed", "", "how many times faster than real time, or max (screen: 1, lines: max)")
	f.BoolVar(&o.withoutWall, "without-wall", false, "leave attached wall sensors unread, as if there were none")
	f.BoolVar(&o.withoutSurface, "without-surface", false, "leave out hand-held surface readings")
	return c
}

func (t *terminal) replay(ctx context.Context, path string, o *replayFlags) error {
	opt, err := o.options()
	if err != nil {
		return err
	}
	speed, err := parseSpeed(o.speed, o.onScreen())
	if err != nil {
		return err
	}
	if err := o.load(); err != nil {
		return err
	}
	rec, err := openRecording(path, &o.inputs)
	if err != nil {
		return err
	}
	rec.tell(t)
	if err := t.tellChanges(rec); err != nil {
		return errors.Join(err, rec.reader.Close())
	}
	run := &playing{rec: rec, flags: o, cfg: session.ReplayConfig{Source: rec.reader, Speed: speed, EndS: math.NaN()}}
	if o.onScreen() {
		err = run.onScreen(ctx, opt)
	} else {
		run.told = t.begin("replaying "+path, true)
		err = run.asLines(ctx, t.out, o.lines(opt.Units))
		run.told.end()
	}
	if err = errors.Join(ended(err), rec.reader.Close()); err == nil && run.aborted {
		err = errAbort
	}
	return err
}

// parseSpeed reads --speed.
func parseSpeed(s string, onScreen bool) (float64, error) {
	switch {
	case s == "max", s == "" && !onScreen:
		return math.Inf(1), nil
	case s == "":
		return 1, nil
	}
	x, err := quantity.ParseNumber(s)
	if err != nil || !(x > 0) || math.IsInf(x, 0) {
		return 0, usage("--speed %q is no speed", s).hint("give a number such as --speed 10, or --speed max")
	}
	return x, nil
}

// playing is a replay on its way.
type playing struct {
	rec     *recording
	flags   *replayFlags
	cfg     session.ReplayConfig
	told    *progress
	part    func() // a part begins; nil: nobody asks
	begun   bool
	aborted bool
}

// begin makes the monitor of a part of the recording.
func (p *playing) begin() (session.Stepper, error) {
	if p.begun { // the first part's texts were taken up on opening
		if err := p.rec.begin(); err != nil {
			return nil, err
		}
	}
	p.begun = true
	if p.flags.withoutWall {
		p.rec.profile = p.rec.profile.WithoutWall()
	}
	if p.part != nil {
		p.part()
	}
	return monitor.New(monitor.Config{Profile: p.rec.profile, Offsets: p.rec.offsets, Model: p.rec.model}), nil
}

// start makes the Replay; seen gets every Snapshot.
func (p *playing) start(seen func(wire.Frame, *monitor.Snapshot) error) (*session.Replay, error) {
	if p.flags.withoutSurface {
		p.cfg.Source = session.WithoutSurface(p.cfg.Source)
	}
	p.cfg.Begin = p.begin
	p.cfg.Seen = func(f wire.Frame, s *monitor.Snapshot) error {
		p.aborted = p.aborted || s.Level == alarm.LevelAbort
		return seen(f, s)
	}
	return session.NewReplay(p.cfg)
}

func (p *playing) asLines(ctx context.Context, w io.Writer, lines *lines.Lines) error {
	ctx, stop := untilSignal(ctx)
	defer stop()
	out := bufio.NewWriterSize(w, 64<<10)
	var line []byte
	paced := !math.IsInf(p.cfg.Speed, 1)
	if !paced {
		p.cfg.Source = &toldReader{Reader: p.rec.reader, told: p.told}
	}
	r, err := p.start(func(f wire.Frame, s *monitor.Snapshot) error {
		line = lines.Append(line[:0], f.Type, s)
		if _, err := out.Write(line); err != nil || !paced || len(line) == 0 {
			return err
		}
		return out.Flush()
	})
	if err != nil {
		return err
	}
	err = r.Run(ctx)
	return errors.Join(err, out.Flush())
}

func (p *playing) onScreen(ctx context.Context, opt screen.Options) error {
	endS, err := p.rec.reader.LengthS()
	if err != nil {
		return err
	}
	p.cfg.EndS = endS
	opt.Trail = screen.NewTrail()
	r, err := p.start(func(_ wire.Frame, s *monitor.Snapshot) error {
		opt.Trail.Add(s)
		return nil
	})
	if err != nil {
		return err
	}
	opt.Profile, opt.Replay = p.rec.profile, r
	return beside(ctx, r.Run, func(ctx context.Context) error { return screen.Run(ctx, r, opt) })
}

// play plays all of a recording, as fast as it goes.
func (rec *recording) play(ctx context.Context, part func(), seen func(wire.Frame, *monitor.Snapshot) error) error {
	run := playing{rec: rec, flags: &replayFlags{}, part: part, cfg: session.ReplayConfig{Source: rec.reader, Speed: math.Inf(1), EndS: math.NaN()}}
	r, err := run.start(seen)
	if err != nil {
		return err
	}
	return r.Run(ctx)
}
