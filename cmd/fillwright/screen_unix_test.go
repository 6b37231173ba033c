//go:build unix

package main

import (
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"

	"fillwright/internal/must"
)

// started is the program on a bare pseudo-terminal, with an emulator behind it
// that draws and never answers a question.
type started struct {
	cmd   *exec.Cmd
	pty   *os.File
	vt    *glass
	drawn chan struct{}
}

// glass is an emulator whose whole picture can be read while it is drawn on:
// the library guards cells and writes, but not String.
type glass struct {
	*vt.SafeEmulator
	mu sync.Mutex
}

func (g *glass) Write(p []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.SafeEmulator.Write(p)
}

func (g *glass) String() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.SafeEmulator.String()
}

func start(t testing.TB, w, h int, env []string, args ...string) *started {
	t.Helper()
	s := &started{cmd: exec.Command(os.Args[0], args...), vt: &glass{SafeEmulator: vt.NewSafeEmulator(w, h)}, drawn: make(chan struct{})}
	s.cmd.Args[0] = "fillwright"
	s.cmd.Env = append(append(os.Environ(), "TERM=xterm-256color", "LC_ALL=C.UTF-8", "FILLWRIGHT_TEST_MAIN=1"), env...)
	s.cmd.Dir = t.TempDir()
	var err error
	if s.pty, err = pty.StartWithSize(s.cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}); err != nil {
		t.Fatal(err)
	}
	// A test that gives up leaves no program behind: it would go on asking a
	// device path that the next test may be given. Of one that has ended it is
	// an error that says so.
	t.Cleanup(func() { _ = s.cmd.Process.Kill() })
	go func() { _, _ = io.Copy(io.Discard, s.vt) }() // its answers go nowhere
	go func() {
		defer close(s.drawn)
		_, _ = io.Copy(s.vt, s.pty) // ends with the program
	}()
	return s
}

// until waits for a text on the screen.
func (s *started) until(t testing.TB, text string) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(time.Millisecond) {
		if strings.Contains(s.vt.String(), text) {
			return
		}
	}
	t.Fatalf("never saw %q; the screen is:\n%s", text, s.vt.String())
}

// end waits for the program and gives its exit code.
func (s *started) end(t testing.TB) int {
	t.Helper()
	<-s.drawn
	_ = s.cmd.Wait() // the code says what there is to say
	err := s.pty.Close()
	must.Be(t, err == nil, "%v", err)
	return s.cmd.ProcessState.ExitCode()
}

// TestDemoFirstPicture proves that the demo draws on a bare pseudo-terminal
// that answers no question, at each size, that the data of the fill come, that
// it says that it is invented, and that it goes on q with exit code 0.
func TestDemoFirstPicture(t *testing.T) {
	t.Parallel()
	for _, size := range []struct {
		name string
		w, h int
		env  []string
	}{{"80x24", 80, 24, nil}, {"100x30", 100, 30, []string{"NO_COLOR=1"}}, {"160x45", 160, 45, nil}} {
		t.Run(size.name, func(t *testing.T) {
			s := start(t, size.w, size.h, size.env, "watch", "--demo")
			s.until(t, "MARGIN")
			s.until(t, "vented")
			s.until(t, "INVENTED")
			s.until(t, "all 6 good")
			must.Do(t, must.Err(s.pty.WriteString("q")))
			must.Equal(t, s.end(t), codeDone, "exit code")
		})
	}
}

// TestHangUpOnScreen proves that a terminal that goes away ends a recording in
// order: the log is whole.
func TestHangUpOnScreen(t *testing.T) {
	t.Parallel()
	s := start(t, 80, 24, nil, "watch", "--demo", "--log", "x.fill")
	s.until(t, "all 6 good")
	must.Do(t, s.cmd.Process.Signal(syscall.SIGHUP))
	must.Equal(t, s.end(t), codeDone, "exit code")
	var out, errs strings.Builder
	code := run([]string{"replay", s.cmd.Dir + "/x.fill"}, &out, &errs)
	must.Be(t, code == codeDone && errs.Len() == 0, "the replay ended with %d and said %q", code, errs.String())
}

// TestReplayOnScreen proves that a replay has the same screen, stops on a key
// and tells an abort by its exit code.
func TestReplayOnScreen(t *testing.T) {
	t.Parallel()
	log := t.TempDir() + "/a.fill"
	var out, errs strings.Builder
	code := run([]string{"mimic", "--offline", "--log", log, "--scene", "rushed", "--for", "40s"}, &out, &errs)
	must.Need(t, code == codeDone, "%v", errs.String())
	s := start(t, 100, 30, nil, "replay", log, "--speed", "20")
	s.until(t, "REPLAY ended")
	must.Do(t, must.Err(s.pty.WriteString("q")))
	must.Equal(t, s.end(t), codeAbort, "exit code")
}

// BenchmarkFirstPicture is the time from the start of the program to the first
// picture of the demo on a terminal that answers nothing (budget: 150 ms).
func BenchmarkFirstPicture(b *testing.B) {
	for b.Loop() {
		s := start(b, 100, 30, nil, "watch", "--demo")
		s.until(b, "MARGIN")
		b.StopTimer()
		must.Do(b, s.cmd.Process.Signal(syscall.SIGTERM))
		s.end(b)
		b.StartTimer()
	}
}
