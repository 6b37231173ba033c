package logger

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"go.bug.st/serial"

	"fillwright/internal/must"
)

// The tests of this file need a second program or a second user: the test
// binary starts itself with openAsEnv set and only tries to open that port.
const openAsEnv = "FILLWRIGHT_TEST_OPEN_PORT"

func TestMain(m *testing.M) {
	if port := os.Getenv(openAsEnv); port != "" {
		os.Exit(openAs(port))
	}
	os.Exit(m.Run())
}

func openAs(port string) int {
	l, err := Open(context.Background(), Config{Opener: NewSerial(port, 0)})
	if err != nil {
		open, ok := err.(*OpenError)
		if !ok {
			fmt.Printf("%T %v\n", err, err)
			return 1
		}
		fmt.Printf("problem=%d\n%v\n", open.Problem, err)
		return 0
	}
	fmt.Println("opened")
	if err := l.Close(); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

// openElsewhere opens port in another process, as nobody if asked and if
// this process is root.
func openElsewhere(t *testing.T, port string, asNobody bool) string {
	t.Helper()
	self := must.Get(os.Executable())(t)
	cmd := exec.Command(self)
	if asNobody && os.Getuid() == 0 {
		cmd.Path = reachableCopy(t, self)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	cmd.Env = append(os.Environ(), openAsEnv+"="+port)
	out, err := cmd.CombinedOutput()
	must.Need(t, err == nil, "the other program failed: %v\n%s", err, out)
	return string(out)
}

// reachableCopy puts the test binary where every user can run it.
func reachableCopy(t *testing.T, self string) string {
	t.Helper()
	dir := must.Get(os.MkdirTemp("", "fillwright-test-"))(t)
	t.Cleanup(func() {
		err := os.RemoveAll(dir)
		must.Be(t, err == nil, "%v", err)
	})
	must.Do(t, os.Chmod(dir, 0o755))
	b := must.Get(os.ReadFile(self))(t)
	copied := filepath.Join(dir, "logger.test")
	must.Do(t, os.WriteFile(copied, b, 0o755))
	return copied
}

func wantSaid(t *testing.T, out string, p Problem, say ...string) {
	t.Helper()
	for _, s := range append(say, fmt.Sprintf("problem=%d\n", p)) {
		must.Be(t, strings.Contains(out, s), "it does not say %q:\n%s", s, out)
	}
}

// A user who may not use the port is told the group and the udev rule.
func TestSerialDenied(t *testing.T) {
	d := plugIn(t)
	must.Do(t, os.Chmod(d.node, 0))
	out := openElsewhere(t, d.node, true)
	wantSaid(t, out, ProblemDenied, d.node, "sudo usermod -aG dialout $USER", "/etc/udev/rules.d/", "uaccess")
}

// A second program is turned away while a fillwright has the port: as the
// same user (root, where the tests run as root) and as nobody.
func TestSerialBusyElsewhere(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.node, 0)})
	wantKind(t, l, Up)
	must.Do(t, os.Chmod(d.node, 0o666))
	wantSaid(t, openElsewhere(t, d.node, false), ProblemBusy, d.node, "logger.test (process ")
	wantSaid(t, openElsewhere(t, d.node, true), ProblemBusy, d.node, "another fillwright")
	d.say([]byte("unharmed"))
	wantBytes(t, l, []byte("unharmed"))
}

// A foreign program that asked for the port alone (TIOCEXCL), as most serial
// terminals do, is respected, by root too; once it is gone the port is free.
func TestSerialBusyWithForeign(t *testing.T) {
	d := plugIn(t)
	foreign := must.Get(serial.Open(d.node, &serial.Mode{BaudRate: 9600}))(t)
	must.Do(t, os.Chmod(d.node, 0o666))
	wantSaid(t, openElsewhere(t, d.node, false), ProblemBusy, d.node, "logger.test (process ")
	wantSaid(t, openElsewhere(t, d.node, true), ProblemBusy, d.node)
	must.Do(t, foreign.Close())
	must.Equal(t, openElsewhere(t, d.node, false), "opened\n", "the port is free and yet")
}
