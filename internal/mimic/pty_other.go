//go:build !unix

package mimic

import (
	"context"
	"errors"
)

// ServePTY needs pseudo-terminals, which this system lacks.
func ServePTY(_ context.Context, _ *Device, _ string) (path string, wait func() error, err error) {
	return "", nil, errors.New("this system has no pseudo-terminals; use the mimic over TCP (--tcp 127.0.0.1:7070)")
}
