package screen

import (
	"context"
	"testing"
	"time"

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
	select {
	case msg := <-got:
		return msg.(pulseMsg)
	case <-time.After(20 * time.Second):
		t.Fatal("no pulse came")
	}
	return pulseMsg{}
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
	select {
	case msg := <-done:
		must.Be(t, msg == nil, "an undue picture: %v", msg)
	case <-time.After(20 * time.Second):
		t.Fatal("the end of the context was not heard")
	}
}
