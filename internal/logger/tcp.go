package logger

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"strconv"
	"syscall"
	"time"
)

// TCP is a logger, or a serial port's server, that listens on host:port.
type TCP struct {
	Address string
}

// Limits on a TCP connection. A dead peer is noticed after keepAliveIdle plus
// keepAliveCount times keepAliveInterval: 8 s; missing data much sooner.
const (
	dialMost          = 5 * time.Second
	writeMost         = 2 * time.Second
	keepAliveIdle     = 5 * time.Second
	keepAliveInterval = time.Second
	keepAliveCount    = 3
)

// Name is the address.
func (t TCP) Name() string { return t.Address }

// Open connects within 5 s.
func (t TCP) Open(ctx context.Context) (Conn, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	d := net.Dialer{Timeout: dialMost, KeepAliveConfig: net.KeepAliveConfig{
		Enable: true, Idle: keepAliveIdle, Interval: keepAliveInterval, Count: keepAliveCount}}
	c, err := d.DialContext(ctx, "tcp", t.Address)
	if err != nil {
		return nil, t.dialError(err)
	}
	return &tcpConn{conn: c, name: t.Address}, nil
}

func (t TCP) check() error {
	e := &OpenError{Problem: ProblemAddress, Name: strconv.Quote(t.Address),
		Hints: []string{"write a host and a port number, for example: --tcp 192.168.4.1:7000"}}
	host, port, err := net.SplitHostPort(t.Address)
	if err != nil || host == "" {
		e.Detail, e.Err = "this is not a TCP address host:port", err
		return e
	}
	if n, err := strconv.Atoi(port); err != nil || n < 1 || n > 65535 {
		e.Detail, e.Err = fmt.Sprintf("the port %q is not a number from 1 to 65535", port), err
		return e
	}
	return nil
}

func (t TCP) dialError(err error) error {
	e := &OpenError{Name: t.Address, Err: err}
	var dns *net.DNSError
	switch {
	case errors.Is(err, syscall.ECONNREFUSED):
		e.Problem, e.Detail = ProblemRefused, "the computer answers, but nothing listens on this port"
		e.Hints = []string{"check the port number, and that the logger is started"}
	case errors.As(err, &dns):
		e.Problem, e.Detail = ProblemUnreached, "no computer of this name is known"
		e.Hints = []string{"check the spelling, or give the number address, for example: --tcp 192.168.4.1:7000"}
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, context.DeadlineExceeded),
		errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETUNREACH):
		e.Problem, e.Detail = ProblemUnreached, "the computer does not answer"
		e.Hints = []string{"check that this computer is on the logger's network, and the logger's power"}
	default:
		e.Problem, e.Detail = ProblemOther, "can't be reached: "+err.Error()
	}
	return e
}

type tcpConn struct {
	conn net.Conn
	name string
}

func (c *tcpConn) Read(p []byte) (int, error) {
	if err := c.conn.SetReadDeadline(time.Now().Add(readWait)); err != nil {
		return 0, err
	}
	n, err := c.conn.Read(p)
	if n > 0 || errors.Is(err, os.ErrDeadlineExceeded) {
		return n, nil // an error beside bytes comes again with the next Read
	}
	if errors.Is(err, io.EOF) {
		return 0, c.lost("the other side hung up", err)
	}
	if err != nil {
		return 0, c.lost("the connection broke", err)
	}
	return n, nil
}

func (c *tcpConn) lost(detail string, err error) error {
	return &OpenError{Problem: ProblemLost, Name: c.name, Detail: detail, Err: err,
		Hints: []string{"check the network and the logger's power"}}
}

func (c *tcpConn) Write(p []byte) (int, error) {
	if err := c.conn.SetWriteDeadline(time.Now().Add(writeMost)); err != nil {
		return 0, err
	}
	return c.conn.Write(p)
}

func (c *tcpConn) Close() error { return c.conn.Close() }
