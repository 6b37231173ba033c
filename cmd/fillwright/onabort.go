package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"fillwright/internal/alarm"
	"fillwright/internal/fault"
	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// onAbort runs the command of --on-abort once for each new abort, in a process
// and a session of its own. Nobody waits for it: what can't be queued is told,
// and a command that does not end is killed.
type onAbort struct {
	line  string
	tell  func(text string) // reports a failure; it must not wait
	most  time.Duration     // longest time of one run
	queue chan alarm.Active
	done  chan struct{}

	standing map[string]bool // aborts that were new before; of the monitor's goroutine
}

const (
	abortRunMost   = 10 * time.Second
	abortQueueMost = 8
	abortLeaveMost = 2 * time.Second // longest wait for a run at the end of the watching
	abortSaidMost  = 60              // bytes of the command's own complaint that are told
)

func newOnAbort(line string, tell func(string)) *onAbort {
	a := &onAbort{line: line, tell: tell, most: abortRunMost, queue: make(chan alarm.Active, abortQueueMost),
		done: make(chan struct{}), standing: map[string]bool{}}
	go func() {
		defer close(a.done)
		for abort := range a.queue {
			if err := fault.Guard("--on-abort", func() error { return a.run(abort) }); err != nil {
				first, _, _ := strings.Cut(err.Error(), "\n")
				a.tell(fmt.Sprintf("the command of --on-abort failed for %s: %s", abort.Name, first))
			}
		}
	}()
	return a
}

// see looks for aborts that are new. It never waits.
func (a *onAbort) see(_ wire.Type, s *monitor.Snapshot) {
	if s.Level != alarm.LevelAbort && len(a.standing) == 0 {
		return
	}
	now := map[string]bool{}
	for i := range s.Alarms {
		al := &s.Alarms[i]
		if al.Level != alarm.LevelAbort || al.State != alarm.StateUnacknowledged {
			continue
		}
		now[al.Name] = true
		if a.standing[al.Name] {
			continue
		}
		select {
		case a.queue <- *al:
		default:
			a.tell("the command of --on-abort is still busy; it was not run for " + al.Name)
		}
	}
	a.standing = now
}

// run runs the command once.
func (a *onAbort) run(abort alarm.Active) error {
	ctx, cancel := context.WithTimeout(context.Background(), a.most)
	defer cancel()
	c := shell(ctx, a.line)
	c.Env = append(os.Environ(), "FILLWRIGHT_ABORT="+abort.Name, "FILLWRIGHT_CAUSE="+abort.Cause.String(), "FILLWRIGHT_DO="+abort.Do)
	said := &tail{}
	c.Stderr = said
	c.WaitDelay = time.Second
	apart(c)
	err := c.Run()
	switch {
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return fmt.Errorf("it did not end within %v and was killed", a.most)
	case err != nil && said.Len() > 0:
		return fmt.Errorf("%w: %s", err, strings.TrimSpace(said.String()))
	}
	return err
}

// close ends the waiting for aborts. A run under way is waited for shortly; it
// is not ended with the program, for it may still be calling for help.
func (a *onAbort) close() {
	close(a.queue)
	select {
	case <-a.done:
	case <-time.After(abortLeaveMost):
	}
}

// tail keeps the first bytes of what a command complains of.
type tail struct{ bytes.Buffer }

// Write takes everything and keeps what there is room for.
func (t *tail) Write(p []byte) (int, error) {
	room := max(abortSaidMost-t.Len(), 0)
	_, err := t.Buffer.Write(p[:min(len(p), room)])
	return len(p), err
}
