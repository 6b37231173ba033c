package mimic

import (
	"context"
	"errors"
)

// Here is where a pretended logger on this machine is reached: one of the two.
type Here struct {
	Path    string // of a pseudo-terminal
	Address string // host:port on the loopback
}

type servePTY func(ctx context.Context, d *Device, link string) (path string, wait func() error, err error)

// ServeHere serves hosts on this machine: on a pseudo-terminal, as a board on a
// cable would be, or over TCP on the loopback address where the system has
// none to give (Windows, a bare container).
func ServeHere(ctx context.Context, d *Device) (at Here, wait func() error, err error) {
	return serveHere(ctx, d, ServePTY)
}

func serveHere(ctx context.Context, d *Device, pty servePTY) (at Here, wait func() error, err error) {
	path, wait, err := pty(ctx, d, "")
	if err == nil {
		return Here{Path: path}, wait, nil
	}
	address, wait, tcpErr := ServeTCP(ctx, d, "127.0.0.1:0")
	if tcpErr != nil {
		return Here{}, nil, errors.Join(err, tcpErr)
	}
	return Here{Address: address}, wait, nil
}
