//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// aborting is a Snapshot in which these aborts are new, and these accepted.
func aborting(fresh []string, accepted ...string) *monitor.Snapshot {
	s := &monitor.Snapshot{Level: alarm.LevelAbort}
	for _, n := range fresh {
		s.Alarms = append(s.Alarms, alarm.Active{Name: n, Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, Cause: wording.Words("hot wall")})
	}
	for _, n := range accepted {
		s.Alarms = append(s.Alarms, alarm.Active{Name: n, Level: alarm.LevelAbort, State: alarm.StateAcknowledged})
	}
	return s
}

// told collects what a command's failure is told with.
func told() (func(string), chan string) {
	c := make(chan string, 100)
	return func(s string) { c <- s }, c
}

// once waits for a telling.
func once(t *testing.T, c chan string, want string) {
	t.Helper()
	got := must.Comes(t, want, c)
	must.Be(t, strings.Contains(got, want), "told %q, want %q", got, want)
}

// TestOnAbortRunsOnce: once for each new abort, with its name and cause; not
// again while it stands or after it was accepted, and again when it comes back.
func TestOnAbortRunsOnce(t *testing.T) {
	file := filepath.Join(t.TempDir(), "ran")
	tell, said := told()
	a := newOnAbort(`echo "$FILLWRIGHT_ABORT: $FILLWRIGHT_CAUSE" >>`+file, tell)
	for range 50 {
		a.see(wire.TypeSample, aborting([]string{"wall-abort"}))
	}
	a.see(wire.TypeSample, aborting([]string{"vent-advised"}, "wall-abort"))
	a.see(wire.TypeSample, aborting(nil, "wall-abort", "vent-advised"))
	a.see(wire.TypeSample, &monitor.Snapshot{})
	a.see(wire.TypeSample, aborting([]string{"wall-abort"}))
	close(a.queue)
	<-a.done
	data := must.Get(os.ReadFile(file))(t)
	want := "wall-abort: hot wall\nvent-advised: hot wall\nwall-abort: hot wall\n"
	must.Be(t, string(data) == want, "ran as\n%swant\n%s", data, want)
	if len(said) > 0 {
		t.Errorf("told %q", <-said)
	}
}

// TestOnAbortFailureIsTold: an exit code with the command's words, a command
// that is not there, one that does not end (killed with its children), and
// aborts that come while it is busy, none of which the monitor waits for.
func TestOnAbortFailureIsTold(t *testing.T) {
	t.Parallel()
	tell, said := told()
	a := newOnAbort("echo no siren here >&2; exit 7", tell)
	a.see(wire.TypeSample, aborting([]string{"blind"}))
	once(t, said, "failed for blind: exit status 7: no siren here")
	a.close()

	a = newOnAbort("/no/such/siren", tell)
	a.see(wire.TypeSample, aborting([]string{"blind"}))
	once(t, said, "exit status 127")
	a.close()

	file := filepath.Join(t.TempDir(), "late")
	a = newOnAbort("(sleep 600; echo late >"+file+") & sleep 600", tell)
	a.most = 200 * time.Millisecond
	names := []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "m"}
	a.see(wire.TypeSample, aborting(names))
	busy, killed := 0, 0
	for busy+killed < len(names) {
		select {
		case got := <-said:
			switch {
			case strings.Contains(got, "still busy"):
				busy++
			case strings.Contains(got, "was killed"):
				killed++
			default:
				t.Fatalf("told %q", got)
			}
		case <-time.After(patience):
			t.Fatalf("%d busy, %d killed", busy, killed)
		}
	}
	must.Be(t, busy >= len(names)-abortQueueMost-1 && killed >= abortQueueMost, "%d were not run, %d killed", busy, killed)
	a.close()
}
