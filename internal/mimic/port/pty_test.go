//go:build unix

package port

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// openTTY opens a terminal as a host does, so that reads can time out.
func openTTY(t *testing.T, path string) *os.File {
	t.Helper()
	fd := must.Get(unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0))(t)
	return os.NewFile(uintptr(fd), path)
}

// A client opens the pseudo-terminal through its link, gets a hello and
// samples untouched by the terminal (all byte values pass), is answered, hangs
// up, and another one comes.
func TestPTYServesOneClientAfterAnother(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	link := filepath.Join(t.TempDir(), "logger")
	d := quick(t, mimic.Options{})
	path, wait, err := PTY(ctx, d, link)
	must.Do(t, err)
	must.Be(t, path == link, "path %q", path)
	for range 2 {
		c := openTTY(t, path)
		h := &testHost{conn: c}
		list := h.until(t, has(wire.TypeSample, 200))
		must.Be(t, has(wire.TypeHello, 1)(list), "no hello")
		must.Do(t, must.Err(c.Write(append([]byte{0}, wire.AppendPing(nil, 0, wire.Ping{Token: 0x0a0d0304})...))))
		h.until(t, has(wire.TypePong, 1))
		must.Do(t, c.Close())
	}
	cancel()
	err = wait()
	must.Be(t, err == nil, "end: %v", err)
	_, err = os.Lstat(link)
	must.Be(t, os.IsNotExist(err), "the link is still there: %v", err)
}

// While nobody listens, nothing piles up: a late client's first sample is
// fresh.
func TestPTYDiscardsWithoutClient(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, mimic.Options{})
	path, wait, err := PTY(ctx, d, "")
	must.Do(t, err)
	must.Soon(t, "the vessel's time goes on", func() bool { return d.TimeS() >= 10 })
	c := openTTY(t, path)
	defer c.Close()
	before := d.TimeS()
	first := firstSample(t, (&testHost{conn: c}).until(t, has(wire.TypeSample, 1)))
	must.Be(t, float64(first.TimeMS)/1000 >= before-0.1 && before >= 10, "first sample of %d ms came at %g s", first.TimeMS, before)
	cancel()
	err = wait()
	must.Be(t, err == nil, "end: %v", err)
}

// At the end the device waits until the client has read what was sent; a
// client that never reads does not hold it for ever.
func TestPTYWaitsForTheClientToDrain(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, mimic.Options{})
	path, wait, err := PTY(ctx, d, "")
	must.Do(t, err)
	c := openTTY(t, path)
	defer c.Close()
	must.Soon(t, "the vessel's time goes on", func() bool { return d.TimeS() >= 5 })
	cancel()
	ended := make(chan error, 1)
	go func() { ended <- wait() }()
	var dec wire.Decoder
	dec.Aligned = true
	n := 0
	buf := make([]byte, 64)
	for {
		must.Do(t, c.SetReadDeadline(time.Now().Add(patience)))
		k, err := c.Read(buf)
		dec.Decode(buf[:k], func(wire.Frame) { n++ })
		if err != nil {
			break // the master has closed
		}
	}
	err = <-ended
	must.Be(t, err == nil, "end: %v", err)
	must.Be(t, n >= 20, "only %d frames of 5 s were still there to read", n)
}

// A mimic started again takes the link over, the first does not take it away
// from it, and a file or a link of somebody's own stays.
func TestLink(t *testing.T) {
	dir := t.TempDir()
	link := filepath.Join(dir, "logger")
	must.Do(t, pointLink(link, "/dev/pts/12"))
	must.Do(t, pointLink(link, "/dev/pts/7"))
	must.Do(t, dropLink(link, "/dev/pts/12"))
	to, err := os.Readlink(link)
	must.Be(t, err == nil && to == "/dev/pts/7", "link to %q, %v", to, err)
	file := filepath.Join(dir, "own")
	must.Do(t, os.WriteFile(file, []byte("x"), 0o600))
	foreign := filepath.Join(dir, "foreign")
	must.Do(t, os.Symlink(file, foreign))
	must.Refuse(t, pointLink(foreign, "/dev/pts/7"), "no pseudo-terminal")
	to, err = os.Readlink(foreign)
	must.Be(t, err == nil && to == file, "somebody's link now leads to %q, %v", to, err)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	_, _, err = PTY(ctx, quick(t, mimic.Options{}), file)
	must.Be(t, err != nil && strings.Contains(err.Error(), "not a symbolic link"), "somebody's file: %v", err)
	data, err := os.ReadFile(file)
	must.Be(t, err == nil && string(data) == "x", "the file is now %q, %v", data, err)
}

// The hang-up is seen although nobody ever opened the terminal.
func TestFreshPTYReportsHangUp(t *testing.T) {
	l := must.Get(openLine())(t)
	defer l.master.Close()
	gone, err := l.hungUp()
	must.Be(t, err == nil && gone, "hung up: %v, %v", gone, err)
	s := must.Get(os.OpenFile(l.name, os.O_RDWR|syscall.O_NOCTTY, 0))(t)
	defer s.Close()
	gone, err = l.hungUp()
	must.Be(t, err == nil && !gone, "with a client: hung up %v, %v", gone, err)
}
