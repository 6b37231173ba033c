package main

import (
	"context"
	"errors"
	"sync/atomic"

	"fillwright/internal/monitor"
	"fillwright/internal/screen"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// opening opens the cable and the log and puts the session together.
type opening func(context.Context) (*live, error)

// watchOnScreen watches with the screen in front. A cable that can't be opened
// is told on the bare terminal, without a screen.
func (t *terminal) watchOnScreen(ctx context.Context, open opening, opt screen.Options) error {
	// The cable ends with the session, which ends after the screen.
	s, err := open(ctx)
	if err != nil {
		return err
	}
	return beside(ctx, s.run, func(ctx context.Context) error { return screen.Run(ctx, s, opt) })
}

// demoOnScreen draws the first picture while the mimic is still being made.
func (t *terminal) demoOnScreen(ctx context.Context, open opening, opt screen.Options) error {
	feed := &lateFeed{notify: make(chan struct{}, 1)}
	work := func(ctx context.Context) error {
		s, err := open(ctx)
		if err != nil {
			return err
		}
		feed.come(s.Session)
		return s.run(ctx)
	}
	return beside(ctx, work, func(ctx context.Context) error { return screen.Run(ctx, feed, opt) })
}

// lateFeed is the feed of a session that is still to come.
type lateFeed struct {
	session atomic.Pointer[session.Session]
	notify  chan struct{}
}

// come takes the session up and passes its notices on until it ends.
func (f *lateFeed) come(s *session.Session) {
	f.session.Store(s)
	go f.pass(s.Notify(), s.Done())
}

func (f *lateFeed) pass(from <-chan struct{}, done <-chan struct{}) {
	for {
		select {
		case <-done:
			return
		case <-from:
		}
		select {
		case f.notify <- struct{}{}:
		default:
		}
	}
}

// Latest implements screen.Feed.
func (f *lateFeed) Latest() monitor.Snapshot {
	if s := f.session.Load(); s != nil {
		return s.Latest()
	}
	return monitor.Unknown()
}

// Notify implements screen.Feed.
func (f *lateFeed) Notify() <-chan struct{} { return f.notify }

// Entry implements screen.Feed.
func (f *lateFeed) Entry(e wire.Entry) error {
	if s := f.session.Load(); s != nil {
		return s.Entry(e)
	}
	return errors.New("the demonstration is still starting; the entry was not taken")
}
