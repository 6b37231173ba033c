//go:build unix

package main

import (
	"context"
	"os/exec"
	"syscall"
)

func shell(ctx context.Context, line string) *exec.Cmd {
	return exec.CommandContext(ctx, "/bin/sh", "-c", line)
}

// apart gives the command a session of its own, so that it can't touch our
// terminal, and is killed with all that it started.
func apart(c *exec.Cmd) {
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	c.Cancel = func() error { return syscall.Kill(-c.Process.Pid, syscall.SIGKILL) }
}
