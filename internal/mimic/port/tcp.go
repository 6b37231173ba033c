// Package port is where a pretended logger is reached: a pseudo-terminal, as a
// board on a cable would be, or a TCP port.
package port

import (
	"context"
	"errors"
	"fmt"
	"net"
	"sync"

	"fillwright/internal/fault"
	"fillwright/internal/mimic"
)

// hostsMost is how many hosts may listen at once over TCP.
const hostsMost = 16

// TCP listens on addr ("127.0.0.1:0" takes a free port) and serves each
// host that connects. It gives the address in use at once; wait returns when
// ctx has ended and all hosts are gone.
func TCP(ctx context.Context, d *mimic.Device, addr string) (at string, wait func() error, err error) {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return "", nil, fmt.Errorf("can't listen on %q: %w; give an address such as 127.0.0.1:7070", addr, err)
	}
	done := make(chan error, 1)
	go func() { done <- fault.Guard("the pretended logger", func() error { return acceptHosts(ctx, d, l) }) }()
	return l.Addr().String(), func() error { return <-done }, nil
}

// acceptHosts serves hosts until ctx ends.
func acceptHosts(ctx context.Context, d *mimic.Device, l net.Listener) error {
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
			return mimic.UnlessGone(err)
		}
		if err != nil {
			return errors.Join(fmt.Errorf("can't accept hosts: %w", err), l.Close())
		}
		select {
		case room <- struct{}{}:
		default: // full: the newcomer is sent away
			if err := c.Close(); mimic.UnlessGone(err) != nil {
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

// Place is where a pretended logger on this machine is reached: one of the two.
type Place struct {
	Path    string // of a pseudo-terminal
	Address string // host:port on the loopback
}

type pseudo func(ctx context.Context, d *mimic.Device, link string) (path string, wait func() error, err error)

// Here serves hosts on this machine: on a pseudo-terminal, as a board on a
// cable would be, or over TCP on the loopback address where the system has
// none to give (Windows, a bare container).
func Here(ctx context.Context, d *mimic.Device) (at Place, wait func() error, err error) {
	return here(ctx, d, PTY)
}

func here(ctx context.Context, d *mimic.Device, pty pseudo) (at Place, wait func() error, err error) {
	path, wait, err := pty(ctx, d, "")
	if err == nil {
		return Place{Path: path}, wait, nil
	}
	address, wait, tcpErr := TCP(ctx, d, "127.0.0.1:0")
	if tcpErr != nil {
		return Place{}, nil, errors.Join(err, tcpErr)
	}
	return Place{Address: address}, wait, nil
}
