package mimic

import (
	"context"
	"errors"
	"fmt"
	"net"
	"sync"

	"fillwright/internal/fault"
)

// hostsMost is how many hosts may listen at once over TCP.
const hostsMost = 16

// ServeTCP listens on addr ("127.0.0.1:0" takes a free port) and serves each
// host that connects. It gives the address in use at once; wait returns when
// ctx has ended and all hosts are gone.
func ServeTCP(ctx context.Context, d *Device, addr string) (at string, wait func() error, err error) {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return "", nil, fmt.Errorf("can't listen on %q: %w; give an address such as 127.0.0.1:7070", addr, err)
	}
	done := make(chan error, 1)
	go func() { done <- fault.Guard("the pretended logger", func() error { return acceptHosts(ctx, d, l) }) }()
	return l.Addr().String(), func() error { return <-done }, nil
}

// acceptHosts serves hosts until ctx ends.
func acceptHosts(ctx context.Context, d *Device, l net.Listener) error {
	unhook := context.AfterFunc(ctx, func() { _ = l.Close() }) // frees Accept; closed again below
	defer unhook()
	var hosts sync.WaitGroup
	defer hosts.Wait()
	room := make(chan struct{}, hostsMost)
	for {
		c, err := l.Accept()
		if ctx.Err() != nil {
			if err == nil {
				err = c.Close()
			}
			return unlessGone(err)
		}
		if err != nil {
			return errors.Join(fmt.Errorf("can't accept hosts: %w", err), l.Close())
		}
		select {
		case room <- struct{}{}:
		default: // full: the newcomer is sent away
			if err := c.Close(); unlessGone(err) != nil {
				return errors.Join(err, l.Close())
			}
			continue
		}
		hosts.Go(func() {
			defer func() { <-room }()
			// One host's trouble is not the others': it has hung up or will come again.
			_ = fault.Guard("the pretended logger", func() error { return d.Serve(ctx, c) })
		})
	}
}

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
