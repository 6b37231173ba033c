package screen

import (
	"context"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
)

// framesPerSDefault is what an eye can read, and what a slow line can carry.
const framesPerSDefault = 3

// waiter turns the feed's notices into pulses, no more often than the frame
// rate allows, but at once where the verdict or an alarm has changed. Only one
// next runs at a time: each pulse starts the next one.
type waiter struct {
	ctx   context.Context
	feed  Feed
	gap   time.Duration
	last  time.Time
	drawn drawn
}

// drawn is what the operator must not wait for.
type drawn struct {
	verdict advise.Verdict
	level   alarm.Level
	alarms  int
	worst   string
	state   alarm.State
	up      bool
}

func drawnOf(s *monitor.Snapshot) drawn {
	d := drawn{verdict: s.Advice.Verdict, level: s.Level, alarms: len(s.Alarms), up: s.Link.Up}
	if len(s.Alarms) > 0 {
		d.worst, d.state = s.Alarms[0].Name, s.Alarms[0].State
	}
	return d
}

func newWaiter(ctx context.Context, feed Feed, framesPerS float64) *waiter {
	if !(framesPerS > 0) {
		framesPerS = framesPerSDefault
	}
	return &waiter{ctx: ctx, feed: feed, gap: time.Duration(float64(time.Second) / framesPerS)}
}

// next waits for the next picture that is due.
func (w *waiter) next() tea.Msg {
	timer := time.NewTimer(time.Until(w.last.Add(w.gap)))
	defer timer.Stop()
	due, pending := false, false
	for {
		select {
		case <-w.ctx.Done():
			return nil
		case <-timer.C:
			due = true
		case <-w.feed.Notify():
			pending = true
		}
		if !pending {
			continue
		}
		if s := w.feed.Latest(); due || drawnOf(&s) != w.drawn {
			w.last, w.drawn = time.Now(), drawnOf(&s)
			return pulseMsg{snapshot: s, at: w.last}
		}
	}
}
