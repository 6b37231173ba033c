package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"sync"
	"time"

	"fillwright/internal/fault"
	"fillwright/internal/screen/program"
)

// again is how soon a second signal still belongs to the first: a terminal that
// closes sends several at once.
const again = time.Second

// untilSignal ends ctx on the first signal that would kill the program, so that
// the log is closed in order. A later signal kills the program at once, as if
// nobody had listened.
func untilSignal(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	got := make(chan os.Signal, 8)
	signal.Notify(got, program.Ends()...)
	done := make(chan struct{})
	go func() {
		defer signal.Stop(got)
		select {
		case <-got:
			cancel()
		case <-done:
			return
		}
		select {
		case <-time.After(again):
		case <-done:
		}
	}()
	return ctx, sync.OnceFunc(func() {
		cancel()
		close(done)
	})
}

// beside runs work while show has the terminal. The end of show ends the work,
// and work that fails ends the show; work that is simply done does not, for the
// last picture is worth looking at.
func beside(ctx context.Context, work, show func(context.Context) error) error {
	ctx, stop := untilSignal(ctx)
	defer stop()
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	done := make(chan error, 1)
	go func() {
		err := fault.Guard("the work", func() error { return work(ctx) })
		if ended(err) != nil {
			cancel(err)
		}
		done <- err
	}()
	showErr := fault.Guard("the screen", func() error { return show(ctx) })
	cancel(nil)
	workErr := ended(<-done)
	var sig *program.SignalError
	if workErr != nil || errors.As(showErr, &sig) {
		return workErr
	}
	return ended(showErr)
}
