//go:build unix

package port

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"
	"golang.org/x/sys/unix"

	"fillwright/internal/fault"
	"fillwright/internal/mimic"
)

// The rhythm of looking after a pseudo-terminal, and how long the device waits
// at its end for the client to read what it was sent.
const (
	ptyLook      = 20 * time.Millisecond
	ptyDrainMost = 2 * time.Second
)

// PTY opens a pseudo-terminal and serves whoever opens it, one client
// after another; while nobody has it open, frames are discarded. link, if not
// empty, is a symbolic link kept on it, so that a mimic started again appears
// at the same path. path is what a client opens; wait returns when ctx has
// ended and the client has read what it was sent (2 s at most).
func PTY(ctx context.Context, d *mimic.Device, link string) (path string, wait func() error, err error) {
	line, err := openLine()
	if err != nil {
		return "", nil, fmt.Errorf("can't open a pseudo-terminal: %w", err)
	}
	path = line.name
	if link != "" {
		if err := pointLink(link, line.name); err != nil {
			return "", nil, errors.Join(err, line.master.Close())
		}
		path = link
	}
	done := make(chan error, 1)
	go func() {
		err := fault.Guard("the pretended logger", func() error { return line.serve(ctx, d) })
		if link != "" {
			err = errors.Join(err, dropLink(link, line.name))
		}
		done <- errors.Join(err, line.master.Close())
	}()
	return path, func() error { return <-done }, nil
}

// line is a pseudo-terminal, seen from the device's side.
type line struct {
	master *os.File
	name   string
}

// openLine makes a pseudo-terminal in raw mode. The slave is opened and closed
// once: a pseudo-terminal that was never open reports no hang-up.
func openLine() (*line, error) {
	m, s, err := pty.Open()
	if err != nil {
		return nil, err
	}
	defer func() { _ = m.Close() }() // a duplicate goes on, see below
	name := s.Name()
	_, err = term.MakeRaw(s.Fd())
	if err = errors.Join(err, s.Close()); err != nil {
		return nil, err
	}
	// The package leaves the master in blocking mode, where Close does not free
	// a Read. A duplicate made non-blocking belongs to the poller.
	fd, err := unix.FcntlInt(m.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	if err := unix.SetNonblock(fd, true); err != nil {
		return nil, errors.Join(err, unix.Close(fd))
	}
	return &line{master: os.NewFile(uintptr(fd), "ptmx"), name: name}, nil
}

// serve waits for a client, serves it until it hangs up, and so on.
func (l *line) serve(ctx context.Context, d *mimic.Device) error {
	d.Begin(ctx)
	for {
		open, err := l.awaitClient(ctx)
		if err != nil || !open {
			return err
		}
		if err := l.master.SetDeadline(time.Time{}); err != nil {
			return err
		}
		err = d.Serve(ctx, client{l.master})
		if ctx.Err() != nil {
			return l.drain()
		}
		if err != nil {
			return err
		}
	}
}

// awaitClient says whether a client came before ctx ended.
func (l *line) awaitClient(ctx context.Context) (bool, error) {
	look := time.NewTicker(ptyLook)
	defer look.Stop()
	for {
		gone, err := l.hungUp()
		if err != nil || !gone {
			return err == nil, err
		}
		select {
		case <-ctx.Done():
			return false, nil
		case <-look.C:
		}
	}
}

// hungUp says whether nobody has the slave open.
func (l *line) hungUp() (bool, error) {
	raw, err := l.master.SyscallConn()
	if err != nil {
		return false, err
	}
	fds := []unix.PollFd{{Events: unix.POLLIN}}
	var pollErr error
	err = raw.Control(func(fd uintptr) {
		fds[0].Fd = int32(fd)
		_, pollErr = unix.Poll(fds, 0)
		if errors.Is(pollErr, syscall.EINTR) {
			pollErr = nil
		}
	})
	return fds[0].Revents&unix.POLLHUP != 0, errors.Join(err, pollErr)
}

// drain waits until the client has read everything or is gone: what is unread
// when a master closes is lost.
func (l *line) drain() error {
	end := time.Now().Add(ptyDrainMost)
	for time.Now().Before(end) {
		gone, err := l.hungUp()
		if gone || err != nil {
			return err
		}
		left, err := l.unread()
		if err != nil || left == 0 {
			return err
		}
		time.Sleep(ptyLook)
	}
	return nil
}

// unread is how many bytes wait in the slave; 1 where a client that holds it
// for itself alone keeps us from looking.
func (l *line) unread() (n int, err error) {
	s, err := os.OpenFile(l.name, os.O_RDONLY|syscall.O_NOCTTY|syscall.O_NONBLOCK, 0)
	switch {
	case errors.Is(err, syscall.EBUSY):
		return 1, nil
	case errors.Is(err, syscall.EIO): // hung up meanwhile
		return 0, nil
	case err != nil:
		return 0, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	return unix.IoctlGetInt(int(s.Fd()), unreadRequest)
}

// client is the master for the time of one client: closing it only frees its
// Read and Write.
type client struct{ *os.File }

// Close implements io.Closer.
func (c client) Close() error { return c.SetDeadline(time.Unix(1, 0)) }
