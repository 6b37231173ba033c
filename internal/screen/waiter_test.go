package screen

import (
	"context"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/must"
)

func canceled() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	return ctx
}

// nextPulse waits for a pulse, and fails when none comes.
func nextPulse(t *testing.T, w *waiter) pulseMsg {
	t.Helper()
	got := make(chan any, 1)
	go func() { got <- w.next() }()
	return must.Comes(t, "a pulse is given", got).(pulseMsg)
}

// TestWaiterDoesNotWaitForNews: with a gap of an hour a regular picture waits,
// but a changed verdict or alarm is drawn at once.
func TestWaiterDoesNotWaitForNews(t *testing.T) {
	feed := newFakeFeed()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	w := newWaiter(ctx, feed, 1.0/3600)
	feed.notify <- struct{}{}
	nextPulse(t, w)

	feed.latest.Advice.Verdict = advise.VerdictStop
	feed.notify <- struct{}{}
	p := nextPulse(t, w)
	must.Be(t, p.snapshot.Advice.Verdict == advise.VerdictStop, "the new verdict was not drawn")
	feed.latest.Alarms = []alarm.Active{{Name: "x", Level: alarm.LevelAbort}}
	feed.notify <- struct{}{}
	nextPulse(t, w)

	feed.notify <- struct{}{} // nothing new: not due for an hour
	done := make(chan any, 1)
	go func() { done <- w.next() }()
	cancel()
	msg := must.Comes(t, "the end of the context is heard", done)
	must.Be(t, msg == nil, "an undue picture: %v", msg)
}
