package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/conformance"
	"fillwright/internal/logger"
	"fillwright/internal/runlog"
)

type loggerCheckFlags struct {
	cable
	forTime     time.Duration
	press, json bool
}

func loggerCommand(t *terminal) *cobra.Command {
	c := &cobra.Command{
		Use: "logger", Short: "Tests a logger against the protocol",
		Args: wanted(0, 0, "check", "fillwright logger check --port /dev/ttyUSB0"),
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(loggerCheckCommand(t))
	return c
}

func loggerCheckCommand(t *terminal) *cobra.Command {
	var o loggerCheckFlags
	c := &cobra.Command{
		Use: "check [FILE]", Short: "Says what a logger does right, does wrong and leaves out",
		Long: "Listens to a logger for half a minute, asks it what the protocol knows, and says\n" +
			"line by line what it does right, what it does wrong, what it leaves out, and what\n" +
			"could not be seen, each with the heading of the protocol's page. A file is a\n" +
			"capture of the port, or a run log; it is not asked anything.\n\n" +
			"It judges what the logger says, not what its sensors measure. Nothing may be\n" +
			"under pressure meanwhile: the check changes the rate for some seconds.\n\n" +
			"Exit code 0: nothing is wrong; 1: something is, or the port failed; 2: the command\n" +
			"line is wrong.",
		Example: "  fillwright logger check --port /dev/ttyUSB0\n" +
			"  fillwright logger check --tcp 192.168.4.1:5555 --json\n" +
			"  fillwright logger check capture.bin",
		Args: wanted(0, 1, "at most one file name", "fillwright logger check capture.bin"),
		RunE: func(c *cobra.Command, args []string) error { return t.loggerCheck(c.Context(), &o, args) },
	}
	o.flags(c)
	f := c.Flags()
	f.DurationVar(&o.forTime, "for", conformance.DefaultS*time.Second, "how long to listen (at least 27s)")
	f.BoolVar(&o.press, "press", false, "ask for a press of the reset button, to see a restart")
	f.BoolVar(&o.json, "json", false, "one JSON object instead of lines")
	return c
}

func (o *loggerCheckFlags) check(args []string) error {
	switch n := given(len(args) > 0, o.port != "", o.tcp != ""); {
	case n == 0:
		return usage("where is the logger?").hint("give --port /dev/ttyUSB0 or --tcp host:port, or name a capture; for the list of ports type: fillwright ports")
	case n > 1:
		return usage("--port, --tcp and a file exclude each other").hint("give one of them")
	case o.forTime < conformance.LeastS*time.Second:
		return usage("--for %s is too short to see the rhythm of the hellos and the answers", o.forTime).hint("give --for 30s")
	case len(args) > 0 && o.press:
		return usage("--press goes with --port and --tcp: a recording has no reset button")
	}
	return o.checkBaud()
}

func (t *terminal) loggerCheck(ctx context.Context, o *loggerCheckFlags, args []string) error {
	if err := o.check(args); err != nil {
		return err
	}
	opt := conformance.Options{Live: len(args) == 0, ForS: o.forTime.Seconds(), Header: o.header}
	if o.port != "" {
		opt.LineBytesS = float64(o.baud) / 10 // 8 bits, a start and a stop bit
	}
	x, err := conformance.New(opt)
	if err != nil {
		return usage("--header: %s", err)
	}
	name := ""
	if opt.Live {
		name = o.opener().Name()
		err = t.interview(ctx, o, x)
	} else {
		name = args[0]
		err = hearAll(x, name)
	}
	if err != nil {
		return err
	}
	r := x.Report()
	if err := writeConformance(t.out, &r, o.json); err != nil {
		return err
	}
	if n := r.Count(conformance.Wrong); n > 0 {
		return fmt.Errorf("%s: %d of %d rules are broken", name, n, len(r.Findings))
	}
	return nil
}

// hearAll reads a recording to its end.
func hearAll(x *conformance.Exam, path string) error {
	f, _, err := runlog.OpenFile(path)
	if err != nil {
		return err
	}
	buf := make([]byte, 64<<10)
	for err == nil {
		n := 0
		n, err = f.Read(buf)
		x.Bytes(0, buf[:n])
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// How often it is looked whether a request is due; how long a press of the
// button is waited for, and what comes after it is heard.
const (
	askEvery  = 20 * time.Millisecond
	pressWait = 20 * time.Second
	pressHear = 5 * time.Second
)

// interview hears and asks a live logger.
func (t *terminal) interview(ctx context.Context, o *loggerCheckFlags, x *conformance.Exam) (err error) {
	ctx, stop := untilSignal(ctx)
	defer stop()
	opener := o.opener()
	cable, err := logger.Open(ctx, logger.Config{Opener: opener})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, cable.Close()) }()
	t.note("listening to %s for %s", opener.Name(), o.forTime)
	began := time.Now()
	end := began.Add(o.forTime)
	beat := time.NewTicker(askEvery)
	defer beat.Stop()
	pressed := !o.press
	for {
		select {
		case <-ctx.Done():
			return errors.New("ended before the check was done; type the same again")
		case ev, open := <-cable.Events():
			if !open {
				return errors.New("the logger is gone")
			}
			t.hearOne(x, ev, began)
		case now := <-beat.C:
			if err := ask(x, cable, now.Sub(began).Seconds()); err != nil {
				return err
			}
			switch {
			case now.Before(end):
				if o.press && pressed && x.Restarts() > 0 && end.Sub(now) > pressHear {
					end = now.Add(pressHear)
				}
			case !pressed:
				pressed, end = true, now.Add(pressWait)
				t.note("press the logger's reset button now")
			default:
				return nil
			}
		}
	}
}

func (t *terminal) hearOne(x *conformance.Exam, ev logger.Event, began time.Time) {
	switch ev.Kind {
	case logger.Bytes:
		x.Bytes(ev.At.Sub(began).Seconds(), ev.Data)
	case logger.Down:
		x.Interrupted()
		t.note("%s", ev.Text)
	case logger.Trouble:
		t.note("%s", ev.Text)
	}
}

// ask sends the request that is due. A cable that is gone just now takes none.
func ask(x *conformance.Exam, cable *logger.Logger, atS float64) error {
	p := x.Next(atS, rand.Uint32())
	if p == nil {
		return nil
	}
	if err := cable.Send(p); err != nil && !errors.Is(err, logger.ErrNotSent) {
		return err
	}
	return nil
}
