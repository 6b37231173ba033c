package runlog

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// childLog is the log that a child process writes; it makes the test binary
// that child.
const childLog = "FILLWRIGHT_RUNLOG_TEST_CHILD"

func TestMain(m *testing.M) {
	if path := os.Getenv(childLog); path != "" {
		record(path)
		return
	}
	os.Exit(m.Run())
}

// killsEnv is how often a recording program is killed.
const killsEnv = "FILLWRIGHT_KILLS"

const (
	killsDefault = 100
	killLogs     = 8  // recorded into beside each other
	saidEvery    = 20 // frames between two lines of the child
	killAfter    = 1500 * time.Millisecond
)

// record appends numbered frames for ever, and says how many it has appended.
func record(path string) {
	w, err := OpenWriter(path, wire.LogStart{})
	for i := uint32(0); err == nil; i++ {
		if i%saidEvery == 0 {
			fmt.Println(i)
		}
		s := wire.Sample{TimeMS: i}
		err = w.Append(wire.AppendSample(nil, uint8(i), &s))
		time.Sleep(time.Millisecond)
	}
	fmt.Println(err)
	os.Exit(1)
}

// A recording program that is killed (SIGKILL: no defer, no handler) at any
// moment, again and again in the same log, loses at most the last second each
// time; what is there is whole and in order, and recording goes on in it.
func TestKilled(t *testing.T) {
	kills := killsDefault
	if text := os.Getenv(killsEnv); text != "" {
		n, err := strconv.Atoi(text)
		must.Need(t, err == nil && n >= killLogs, "%s=%q is no number of kills", killsEnv, text)
		kills = n
	}
	var all sync.WaitGroup // not t.Parallel: they sleep, so that more fit than there are processors
	for log := range killLogs {
		all.Go(func() {
			t.Run(fmt.Sprint(log), func(t *testing.T) {
				rng := rand.New(rand.NewPCG(uint64(log), 5))
				path := t.TempDir() + "/a.run"
				var least []uint32 // frames that must be there, of each recording
				for range (kills + killLogs - 1) / killLogs {
					least = append(least, killOnce(t, path, time.Duration(rng.Int64N(int64(killAfter)))))
				}
				closeLog(t, open(t, path))
				heldAll(t, path, least)
			})
		})
	}
	all.Wait()
}

// killOnce records into path, kills the recorder some time after it began, and
// gives how many frames were older than the second that a kill may cost.
func killOnce(t *testing.T, path string, after time.Duration) uint32 {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childLog+"="+path)
	out := must.Get(child.StdoutPipe())(t)
	must.Do(t, child.Start())
	type said struct {
		n  uint32
		at time.Time
	}
	var all []said
	killed := make(chan time.Time, 1)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		n, err := strconv.ParseUint(lines.Text(), 10, 32)
		if err != nil {
			t.Errorf("the child said %q", lines.Text())
			break
		}
		if all = append(all, said{uint32(n), time.Now()}); n == 0 {
			time.AfterFunc(after, func() {
				killed <- time.Now()
				err := child.Process.Kill()
				must.Be(t, err == nil, "%v", err)
			})
		}
	}
	err := child.Wait()
	must.Be(t, err != nil, "the child ended by itself")
	must.Need(t, len(all) != 0, "the child never began")
	safe, at := uint32(0), <-killed
	for _, s := range all {
		if at.Sub(s.at) >= syncEvery {
			safe = s.n
		}
	}
	return safe
}

// heldAll checks that each recording of a log has its frames without a gap, and
// no fewer than it must.
func heldAll(t *testing.T, path string, least []uint32) {
	t.Helper()
	recording, n, safe := -1, uint32(0), uint32(0)
	ended := func() {
		if recording >= 0 && recording < len(least) && n < least[recording] {
			t.Errorf("recording %d: %d frames are left, %d were older than a second", recording, n, least[recording])
		}
	}
	for _, f := range frames(t, readerOf(t, read(t, path))) {
		var s wire.Sample
		switch {
		case f.Type == wire.TypeLogStart:
			ended()
			recording, n = recording+1, 0
		case f.Type != wire.TypeSample || wire.ParseSample(f.Body, &s) != nil || s.TimeMS != n:
			t.Fatalf("recording %d: %v where sample %d should be", recording, f, n)
		default:
			n++
		}
	}
	ended()
	for _, l := range least {
		safe += l
	}
	must.Be(t, recording == len(least) && safe != 0, "%d recordings of %d, %d frames had to be there", recording, len(least), safe)
}
