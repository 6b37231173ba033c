//go:build !unix

package port

import (
	"context"
	"errors"

	"fillwright/internal/mimic"
)

// PTY needs pseudo-terminals, which this system lacks.
func PTY(_ context.Context, _ *mimic.Device, _ string) (path string, wait func() error, err error) {
	return "", nil, errors.New("this system has no pseudo-terminals; use the mimic over TCP (--tcp 127.0.0.1:7070)")
}
