package main

import (
	"context"
	"errors"
	"os/signal"
	"syscall"

	"fillwright/internal/fault"
	"fillwright/internal/lines"
	"fillwright/internal/monitor"
	"fillwright/internal/nonblocking"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// observer is a Stepper that lets somebody see each Snapshot with its input.
type observer struct {
	session.Stepper
	seen []func(wire.Type, *monitor.Snapshot) // complete before the session runs
}

// Step implements session.Stepper.
func (t *observer) Step(f wire.Frame) monitor.Snapshot {
	s := t.Stepper.Step(f)
	for _, seen := range t.seen {
		seen(f.Type, &s)
	}
	return s
}

// watchAsLines watches and prints lines until a signal comes. When the far end
// takes no more lines, a recording goes on and anything else ends.
func (t *terminal) watchAsLines(ctx context.Context, open opening, lines *lines.Lines) error {
	// A reader that goes away must not kill the program in mid record.
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := untilSignal(ctx)
	defer stop()
	s, err := open(ctx)
	if err != nil {
		return ended(err)
	}
	out := nonblocking.New(t.out)
	var line []byte
	seen := func(ty wire.Type, snap *monitor.Snapshot) {
		if line = lines.Append(line[:0], ty, snap); len(line) > 0 {
			// What goes wrong here is kept by the writer and told below.
			_, _ = out.Write(line)
		}
	}
	s.observer.seen = append(s.observer.seen, seen)
	go func() {
		select {
		case <-out.Failed():
			if t.unread(out.Err(), s.recorded) {
				stop()
			}
		case <-s.Done():
		}
	}()
	err = fault.Guard("the watch", func() error { return s.run(ctx) })
	closeErr := out.Close()
	if errors.Is(closeErr, syscall.EPIPE) {
		closeErr = nil // was told when it happened
	}
	return errors.Join(err, closeErr)
}

// unread tells that nobody takes the lines and says whether that is the end.
func (t *terminal) unread(err error, recorded bool) (end bool) {
	if recorded {
		t.note("the lines can't be printed any more (%v); recording goes on, end it with Ctrl-C", err)
		return false
	}
	t.note("the lines can't be printed any more (%v); the watching ends", err)
	return true
}
