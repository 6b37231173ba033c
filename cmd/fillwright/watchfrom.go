package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"

	"fillwright/internal/fault"
	"fillwright/internal/follow"
	"fillwright/internal/monitor"
	"fillwright/internal/nonblocking"
	"fillwright/internal/screen"
	"fillwright/internal/screen/program"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// checkFrom refuses what does not go with a second screen, which records and
// enters nothing.
func (o *watchFlags) checkFrom(given func(string) bool) error {
	for _, name := range []string{"log", "no-log", "format", "header", "baud", "scene", "follow", "practice", "plan"} {
		if given(name) {
			return usage("--%s does not go with --from, which only follows", name).hint("leave it out; it belongs to the watch that records")
		}
	}
	if o.from == "-" && isTerminal(os.Stdin) {
		return usage("--from - reads a recording from a pipe, and there is none").hint(
			"type for example: ssh pad tail -c +1 -f today.fill | fillwright watch --from -")
	}
	return nil
}

// second is a watch that follows another one's recording.
type second struct {
	t    *terminal
	o    *watchFlags
	name string

	mu      sync.Mutex
	profile *vessel.Profile // of the part that is followed
	text    string          // of the profile
}

// watchFrom follows a recording that somebody else is making.
func (t *terminal) watchFrom(ctx context.Context, o *watchFlags, opt screen.Options) error {
	ctx, stop := untilSignal(ctx)
	defer stop()
	source, closeSource, err := o.source(ctx)
	if err != nil {
		return err
	}
	w := &second{t: t, o: o, name: o.from}
	if o.from == "-" {
		w.name = "the pipe"
	}
	onScreen := !o.plain && !o.json && isTerminal(t.rawOut) && (o.from == "-" || program.IsTerminal())
	if onScreen {
		err = w.onScreen(ctx, source, opt)
	} else {
		err = w.asLines(ctx, source, opt)
	}
	return errors.Join(ended(err), closeSource())
}

// source opens what is followed.
func (o *watchFlags) source(ctx context.Context) (io.Reader, func() error, error) {
	if o.from == "-" {
		return os.Stdin, func() error { return nil }, nil
	}
	info, err := os.Stat(o.from)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil, &wrongfile.Error{File: o.from, What: "there is no such file", Do: "check the name; the log is there as soon as the watch that records has begun"}
	case err == nil && !info.Mode().IsRegular():
		return nil, nil, &wrongfile.Error{File: o.from, What: "is no file that grows", Do: "name the run log of a watch, or give - to read from a pipe"}
	}
	if err == nil {
		var tail *follow.Tail
		if tail, err = follow.OpenTail(ctx, o.from); err == nil {
			return tail, tail.Close, nil
		}
	}
	return nil, nil, &wrongfile.Error{File: o.from, What: "can't be read", Err: err}
}

// begin makes the monitor of a part: with the texts that it begins with, unless
// others were named.
func (w *second) begin(texts wire.Texts) (session.Stepper, error) {
	in := &w.o.inputs
	cfg := monitor.Config{Profile: in.profile}
	var err error
	switch {
	case cfg.Profile != nil:
	case texts.Profile == "":
		return nil, usage("no vessel profile has come from %s: it was joined in its middle", w.name).hint(
			"begin at its start: tail -c +1 -f today.fill", "or name the profile: --vessel vessel.toml")
	default:
		if cfg.Profile, err = vessel.Parse(w.name+" (recorded profile)", []byte(texts.Profile)); err != nil {
			return nil, err
		}
	}
	if cfg.Offsets, cfg.Model, err = in.recorded(w.name, texts.Offsets, texts.Model); err != nil {
		return nil, err
	}
	if err := checkModel(w.name+" (recorded model)", cfg.Model, cfg.Profile); err != nil {
		return nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.profile != nil && in.profile == nil && w.text != texts.Profile {
		return nil, errors.New("the recording goes on with another vessel profile\n  type the same again to follow it")
	}
	w.profile, w.text = cfg.Profile, texts.Profile
	return monitor.New(cfg), nil
}

// follower puts a Follower together. What --on-abort asks for is done for aborts
// of now only.
func (w *second) follower(source io.Reader, seen func(wire.Type, *monitor.Snapshot), still func(*monitor.Snapshot)) (*follow.Follower, func(), error) {
	var abort *onAbort
	end := func() {}
	if w.o.onAbort != "" {
		abort = newOnAbort(w.o.onAbort, func(text string) { w.o.late.Store(&text) })
		end = abort.close
	}
	var f *follow.Follower
	f, err := follow.New(follow.Config{Source: source, Begin: w.begin, Still: still, Speed: w.o.speed,
		Seen: func(ty wire.Type, s *monitor.Snapshot) {
			if abort != nil && f.Live() {
				abort.see(ty, s)
			}
			seen(ty, s)
		}})
	return f, end, err
}

func (w *second) onScreen(ctx context.Context, source io.Reader, opt screen.Options) error {
	opt.Trail = screen.NewTrail()
	f, end, err := w.follower(source, func(_ wire.Type, s *monitor.Snapshot) { opt.Trail.Add(s) }, nil)
	if err != nil {
		return err
	}
	defer end()
	opt.Second = f
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- fault.Guard("following", func() error { return f.Run(ctx) }) }()
	select {
	case <-f.Ready():
	case <-ctx.Done():
	}
	w.mu.Lock()
	opt.Profile = w.profile
	w.mu.Unlock()
	if opt.Profile == nil { // it ended before anything began
		cancel()
		return endedPipe(<-done, w.name)
	}
	work := func(ctx context.Context) error {
		select {
		case err := <-done:
			if errors.Is(err, follow.ErrEnded) {
				return nil // the screen says that nothing comes, and what was last known
			}
			return err
		case <-ctx.Done():
			cancel()
			return ended(<-done)
		}
	}
	return beside(ctx, work, func(ctx context.Context) error { return screen.Run(ctx, f, opt) })
}

// asLines prints what the watch prints, and each second while nothing comes a
// line that says so.
func (w *second) asLines(ctx context.Context, source io.Reader, opt screen.Options) error {
	lines := w.o.lines(opt.Units)
	out := nonblocking.New(w.t.out)
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	go func() {
		<-out.Failed()
		cancel(out.Err())
	}()
	var line []byte
	put := func(ty wire.Type, s *monitor.Snapshot) {
		if line = lines.Append(line[:0], ty, s); len(line) > 0 {
			// What goes wrong here is kept by the writer and told below.
			_, _ = out.Write(line)
		}
	}
	f, end, err := w.follower(source, put, func(s *monitor.Snapshot) {
		still := *lines // the rhythm of the lines to come is left as it is
		still.EveryS = 0
		if line = still.Append(line[:0], wire.TypeSilence, s); len(line) > 0 {
			_, _ = out.Write(line)
		}
	})
	if err != nil {
		return err
	}
	defer end()
	err = fault.Guard("following", func() error { return f.Run(ctx) })
	return errors.Join(endedPipe(ended(err), w.name), out.Close())
}

// endedPipe says what to do where a pipe has ended.
func endedPipe(err error, name string) error {
	if errors.Is(err, follow.ErrEnded) {
		return fmt.Errorf("%w\n  the connection, or the command before %s, has ended: type the same again", err, strings.TrimPrefix(name, "the "))
	}
	return err
}
