//go:build unix

package screen

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"

	"fillwright/internal/must"
)

// terminal is a bare pseudo-terminal with a terminal emulator behind it. It
// answers no question that a program asks.
type terminal struct {
	t      *testing.T
	cmd    *exec.Cmd
	master *os.File
	slave  *os.File // held open, so that the terminal's state can be read
	before *term.State

	mu      sync.Mutex
	raw     strings.Builder
	screen  *vt.Emulator
	closed  chan struct{} // the reader has ended
	drained chan struct{}
}

// startTerminal runs the test binary as the child program of that name.
func startTerminal(t *testing.T, what string, env ...string) *terminal {
	t.Helper()
	master, slave, err := pty.Open()
	must.Do(t, err)
	must.Do(t, pty.Setsize(master, &pty.Winsize{Rows: 30, Cols: 100}))
	before := must.Get(term.GetState(slave.Fd()))(t)
	x := &terminal{t: t, master: master, slave: slave, before: before, screen: vt.NewEmulator(100, 30), closed: make(chan struct{}), drained: make(chan struct{})}
	x.cmd = exec.Command(os.Args[0])
	x.cmd.Env = append(append(os.Environ(), "TERM=xterm-256color", "NO_COLOR=", childEnv+"="+what), env...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = slave, slave, slave
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	must.Do(t, x.cmd.Start())
	go x.read()
	go x.drain()
	t.Cleanup(x.close)
	return x
}

func (x *terminal) read() {
	defer close(x.closed)
	buf := make([]byte, 4096)
	for {
		n, err := x.master.Read(buf)
		x.mu.Lock()
		x.raw.Write(buf[:n])
		_, werr := x.screen.Write(buf[:n])
		must.Be(x.t, werr == nil, "the emulator: %v", werr)
		x.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// drain throws the emulator's answers away: this terminal stays silent.
func (x *terminal) drain() {
	defer close(x.drained)
	_, err := io.Copy(io.Discard, x.screen)
	must.Be(x.t, err == nil || errors.Is(err, io.EOF) || errors.Is(err, io.ErrClosedPipe), "the emulator's answers: %v", err)
}

func (x *terminal) close() {
	if x.cmd.ProcessState == nil {
		if err := x.cmd.Process.Kill(); err != nil {
			x.t.Logf("kill: %v", err)
		}
		if err := x.cmd.Wait(); err != nil {
			x.t.Logf("the child: %v", err)
		}
	}
	for _, c := range []io.Closer{x.slave, x.master} {
		if err := c.Close(); err != nil {
			x.t.Logf("close: %v", err)
		}
	}
	<-x.closed
	// The emulator's own Close races with its Read: end the drain by its pipe.
	if err := x.screen.InputPipe().(io.Closer).Close(); err != nil {
		x.t.Logf("close: %v", err)
	}
	<-x.drained
}

func (x *terminal) text() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.screen.String()
}

func (x *terminal) output() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.raw.String()
}

// await waits for text on the screen.
func (x *terminal) await(want string) {
	x.t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if strings.Contains(x.text(), want) {
			return
		}
	}
	x.t.Fatalf("%q does not come:\n%s", want, x.text())
}

func (x *terminal) typed(keys string) {
	x.t.Helper()
	must.Do(x.t, must.Err(x.master.WriteString(keys)))
}

// ended waits for the child's end and checks that it left the terminal as it
// found it.
func (x *terminal) ended(code int) {
	x.t.Helper()
	done := make(chan error, 1)
	go func() { done <- x.cmd.Wait() }()
	select {
	case err := <-done:
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			x.t.Fatal(err)
		}
	case <-time.After(30 * time.Second):
		x.t.Fatalf("it does not end:\n%s", x.text())
	}
	if got := x.cmd.ProcessState.ExitCode(); got != code {
		x.t.Errorf("exit code %d, want %d:\n%s", got, code, x.output())
	}
	after, err := term.GetState(x.slave.Fd())
	must.Do(x.t, err)
	must.Be(x.t, reflect.DeepEqual(x.before, after), "the terminal was left in another mode")
}

// leftPicture checks that the alternate screen was left, the cursor shown, and
// that last was said after it.
func (x *terminal) leftPicture(last string) {
	x.t.Helper()
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		_, after, left := strings.Cut(x.output(), "\x1b[?1049l")
		if left && strings.Contains(after, "\x1b[?25h") && strings.HasSuffix(after, last+"\r\n") {
			return
		}
		if time.Now().After(end) {
			x.t.Fatalf("ends with %q", x.output()[max(len(x.output())-200, 0):])
		}
	}
}

// TestStartAsksTheTerminalNothing: with this package linked in, a program that
// starts on a terminal that never answers writes its own words and no question
// (which would hold every subcommand up for 5 s).
func TestStartAsksTheTerminalNothing(t *testing.T) {
	x := startTerminal(t, "start")
	x.await("started")
	x.ended(0)
	must.Equal(t, x.output(), "started\r\n", "wrote")
}

// TestKeysOnARealTerminal goes through a session key by key, on a
// pseudo-terminal with an emulator.
func TestKeysOnARealTerminal(t *testing.T) {
	x := startTerminal(t, "filling", "LANG=C.UTF-8")
	x.await("filling  1:02")
	x.await("PRESSURE  bar")
	x.typed("u")
	x.await("PRESSURE  psi")
	x.typed("uuw")
	x.await("The chart shows the last 1:00")
	x.typed("?")
	x.await("HELP page 1 of")
	x.typed("\x1b")
	x.await("SENSORS")
	x.typed("s41")
	x.await("41_")
	x.typed("\r")
	x.await("Surface sun 41.0 °C saved")
	x.typed("\x1a")
	x.await("Not put to sleep")
	x.typed("q")
	x.await("Quit all the same?")
	x.typed("y")
	x.ended(0)
	x.leftPicture("quit")
}

// TestResize: the picture follows the window.
func TestResize(t *testing.T) {
	x := startTerminal(t, "abort-stop", "LANG=C.UTF-8")
	x.await("Shut the supply now. Stopping later")
	x.mu.Lock()
	x.screen.Resize(60, 20)
	x.mu.Unlock()
	must.Do(t, pty.Setsize(x.master, &pty.Winsize{Rows: 20, Cols: 60}))
	x.await("RAMP NOW       RAMP AT MOST") // the form of narrow windows
	x.typed("qy")
	x.ended(0)
}

// TestSignalsRestoreTheTerminal: each signal that would kill the program ends
// the screen in order, and the caller hears which it was.
func TestSignalsRestoreTheTerminal(t *testing.T) {
	for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT, syscall.SIGQUIT, syscall.SIGABRT,
		syscall.SIGSEGV, syscall.SIGBUS, syscall.SIGFPE, syscall.SIGILL, syscall.SIGALRM, syscall.SIGUSR1} {
		t.Run(sig.String(), func(t *testing.T) {
			x := startTerminal(t, "filling", "LANG=C.UTF-8")
			x.await("SENSORS")
			x.signal(sig)
			x.ended(3)
			x.leftPicture("signal: " + sig.String())
		})
	}
}

func (x *terminal) signal(sig syscall.Signal) {
	x.t.Helper()
	must.Do(x.t, x.cmd.Process.Signal(sig))
}

// TestNotPutToSleepFromOutside: a request from outside to stop is turned down
// as the key is, and watching goes on.
func TestNotPutToSleepFromOutside(t *testing.T) {
	x := startTerminal(t, "filling", "LANG=C.UTF-8")
	x.await("SENSORS")
	x.signal(syscall.SIGTSTP)
	x.await("Not put to sleep")
	x.typed("qy")
	x.ended(0)
	x.leftPicture("quit")
}

// TestStoppedAndBack: stopped where nobody can refuse, while a shell takes the
// terminal, sets its own mode and the window gets another size; back in front,
// keys work, the picture is whole and fits, and the end restores what was.
func TestStoppedAndBack(t *testing.T) {
	x := startTerminal(t, "filling", "LANG=C.UTF-8")
	x.await("SENSORS")
	x.signal(syscall.SIGSTOP)
	var status syscall.WaitStatus
	_, err := syscall.Wait4(x.cmd.Process.Pid, &status, syscall.WUNTRACED, nil)
	must.Need(t, err == nil && status.Stopped(), "not stopped: %v, %v", status, err)
	must.Do(t, term.SetState(x.slave.Fd(), x.before))
	x.mu.Lock()
	x.screen.Resize(60, 20)
	x.mu.Unlock()
	must.Do(t, pty.Setsize(x.master, &pty.Winsize{Rows: 20, Cols: 60}))
	must.Do(t, must.Err(x.slave.WriteString("\x1b[?1049l\x1b[?25h\x1b[2J\x1b[Hshell$ fg\n")))
	x.await("shell$ fg")
	x.signal(syscall.SIGCONT)
	x.await("RAMP NOW") // of the form of narrow windows
	x.typed("u")
	x.await("psi")
	must.Be(t, !strings.Contains(x.text(), "shell$"), "the shell's line is still there:\n%s", x.text())
	x.typed("qy")
	x.ended(0)
	x.leftPicture("quit")
}

// TestAbsurdWindowOnATerminal: a window that is larger than any screen neither
// hangs the program nor takes the memory of the machine.
func TestAbsurdWindowOnATerminal(t *testing.T) {
	x := startTerminal(t, "filling", "LANG=C.UTF-8")
	x.await("SENSORS")
	must.Do(t, pty.Setsize(x.master, &pty.Winsize{Rows: 65535, Cols: 65535}))
	x.typed("u")
	x.await("psi")
	x.typed("qy")
	x.ended(0)
	use, ok := x.cmd.ProcessState.SysUsage().(*syscall.Rusage)
	must.Be(t, ok && (runtime.GOOS != "linux" || use.Maxrss <= 300<<10), "it took %d KiB", use.Maxrss)
}
