package mimic

import (
	"context"
	"errors"
	"io"
	"net"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

const patience = 30 * time.Second

// quick is a device fast enough that tests need not wait.
func quick(t *testing.T, o Options) *Device {
	t.Helper()
	o.Speed = 20
	return must.Get(NewDevice(vessel.Invented(), calm(), o))(t)
}

// conn is what a host reads from and writes to.
type conn interface {
	Read([]byte) (int, error)
	Write([]byte) (int, error)
	SetReadDeadline(time.Time) error
}

// testHost is a host at the other end; its decoder lives as long as the
// connection, so that no frame falls between two calls.
type testHost struct {
	conn
	dec wire.Decoder
}

// until reads frames until enough says so.
func (h *testHost) until(t *testing.T, enough func([]wire.Frame) bool) []wire.Frame {
	t.Helper()
	var got []wire.Frame
	buf := make([]byte, 4096)
	for end := time.Now().Add(patience); ; {
		must.Do(t, h.SetReadDeadline(end))
		n, err := h.Read(buf)
		must.Need(t, err == nil, "after %d frames: %v", len(got), err)
		h.dec.Decode(buf[:n], func(f wire.Frame) { got = append(got, f.Clone()) })
		if enough(got) {
			return got
		}
	}
}

func has(typ wire.Type, atLeast int) func([]wire.Frame) bool {
	return func(list []wire.Frame) bool {
		n := 0
		for _, f := range list {
			if f.Type == typ {
				n++
			}
		}
		return n >= atLeast
	}
}

// Several hosts listen over TCP at once and each gets every frame; the
// requests of one are answered; one that never reads holds up nobody.
func TestTCPServesSeveralHosts(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, Options{})
	at, wait, err := ServeTCP(ctx, d, "127.0.0.1:0")
	must.Do(t, err)
	var hosts []*testHost
	for range 3 {
		c := must.Get(net.Dial("tcp", at))(t)
		defer c.Close()
		hosts = append(hosts, &testHost{conn: c})
	}
	for _, h := range hosts[:2] {
		list := h.until(t, has(wire.TypeSample, 100))
		must.Be(t, has(wire.TypeHello, 1)(list), "no hello")
	}
	must.Do(t, must.Err(hosts[1].Write(append([]byte{0}, wire.AppendPing(nil, 0, wire.Ping{Token: 9})...))))
	hosts[1].until(t, has(wire.TypePong, 1))
	cancel()
	err = wait()
	must.Be(t, err == nil, "end: %v", err)
	_, _, err = ServeTCP(context.Background(), d, "nowhere:-1")
	must.Be(t, err != nil, "a bad address was accepted")
}

// A host that does not read costs a bounded queue, the oldest frames first.
func TestQueueOfAStuckHostIsBounded(t *testing.T) {
	h := &host{frames: make(chan []byte, 3)}
	for i := range byte(10) {
		h.offer([]byte{i})
	}
	must.Be(t, len(h.frames) == 3 && (<-h.frames)[0] == 7, "%d frames wait", len(h.frames))
}

// The vessel's time waits for the first host when asked to.
func TestWaitsForHost(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, Options{WaitForHost: true})
	at, wait, err := ServeTCP(ctx, d, "127.0.0.1:0")
	must.Do(t, err)
	time.Sleep(50 * time.Millisecond)
	now := d.TimeS()
	must.Be(t, now == 0, "the vessel's time is %g s without a host", now)
	c := must.Get(net.Dial("tcp", at))(t)
	defer c.Close()
	list := (&testHost{conn: c}).until(t, has(wire.TypeSample, 5))
	first := samples(t, list)[0].TimeMS
	must.Be(t, first <= 60000, "the first sample is at %d ms", first)
	cancel()
	must.Do(t, wait())
}

// TestServeHereWithoutPTY proves that where there is no pseudo-terminal, as on
// Windows, the pretended logger is reached over TCP on the loopback address
// alone, and says its hello there.
func TestServeHereWithoutPTY(t *testing.T) {
	sc := must.Get(FindScene("calm"))(t)
	d := must.Get(NewDevice(vessel.Invented(), sc, Options{WaitForHost: true}))(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	none := func(context.Context, *Device, string) (string, func() error, error) {
		return "", nil, errors.New("this system has no pseudo-terminals")
	}
	at, wait, err := serveHere(ctx, d, none)
	must.Need(t, err == nil && at.Path == "", "%+v, %v", at, err)
	host, _, err := net.SplitHostPort(at.Address)
	must.Need(t, err == nil && net.ParseIP(host).IsLoopback(), "it listens on %q: others could connect", at.Address)
	c := must.Get(net.Dial("tcp", at.Address))(t)
	must.Do(t, c.SetReadDeadline(time.Now().Add(20*time.Second)))
	var dec wire.Decoder
	buf := make([]byte, 4096)
	for hello := false; !hello; {
		n, err := c.Read(buf)
		dec.Decode(buf[:n], func(f wire.Frame) { hello = hello || f.Type == wire.TypeHello })
		must.Need(t, err == nil || hello, "%v", err)
	}
	cancel()
	if _, err := io.Copy(io.Discard, c); err != nil && !errors.Is(err, net.ErrClosed) && unlessGone(err) != nil {
		t.Error(err)
	}
	must.Do(t, errors.Join(c.Close(), unlessGone(unlessEnded(wait()))))
}

func unlessEnded(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
