//go:build !unix

package main

import (
	"context"
	"os/exec"
)

func shell(ctx context.Context, line string) *exec.Cmd {
	return exec.CommandContext(ctx, "cmd", "/c", line)
}

func apart(*exec.Cmd) {}
