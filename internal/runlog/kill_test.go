package runlog

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

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

// killedAfter is how many frames the child appends before it says so.
const killedAfter = 100

// record appends numbered frames for ever, and says when killedAfter of them
// are older than the second that a kill may cost.
func record(path string) {
	w, err := OpenWriter(path, wire.LogStart{})
	for i := uint32(0); err == nil; i++ {
		if i == killedAfter {
			time.Sleep(syncEvery)
			fmt.Println("killedAfter frames are a second old")
		}
		s := wire.Sample{TimeMS: i}
		err = w.Append(wire.AppendSample(nil, uint8(i), &s))
		time.Sleep(10 * time.Microsecond)
	}
	fmt.Println(err)
	os.Exit(1)
}

// A recording program that is killed (SIGKILL: no defer, no handler) loses at
// most the last second; what is there is whole and in order, and recording
// goes on in the same log.
func TestKilled(t *testing.T) {
	path := t.TempDir() + "/a.run"
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childLog+"="+path)
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || line != "killedAfter frames are a second old\n" {
		t.Errorf("child said %q, %v", line, err)
	}
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if err := child.Wait(); err == nil {
		t.Error("the child ended by itself")
	}
	closeLog(t, open(t, path))
	n := uint32(0)
	for _, f := range frames(t, readerOf(t, read(t, path))) {
		if f.Type != wire.TypeSample {
			continue
		}
		var s wire.Sample
		if err := wire.ParseSample(f.Body, &s); err != nil {
			t.Fatal(err)
		}
		if s.TimeMS != n {
			t.Fatalf("frame %d where %d should be", s.TimeMS, n)
		}
		n++
	}
	if n < killedAfter {
		t.Errorf("%d frames are left, %d were older than a second", n, killedAfter)
	}
}
