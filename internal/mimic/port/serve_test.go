package port

import (
	"context"
	"errors"
	"io"
	"net"
	"slices"
	"testing"
	"time"

	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

const patience = 30 * time.Second

// quick is a device fast enough that tests need not wait.
func quick(t *testing.T, o mimic.Options) *mimic.Device {
	t.Helper()
	o.Speed = 20
	return must.Get(mimic.NewDevice(vessel.Invented(), must.Get(mimic.FindScene("calm"))(t), o))(t)
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

func firstSample(t *testing.T, list []wire.Frame) (s wire.Sample) {
	t.Helper()
	i := slices.IndexFunc(list, func(f wire.Frame) bool { return f.Type == wire.TypeSample })
	must.Need(t, i >= 0, "no sample came")
	must.Do(t, wire.ParseSample(list[i].Body, &s))
	return s
}

// Several hosts listen over TCP at once and each gets every frame; the
// requests of one are answered; one that never reads holds up nobody.
func TestTCPServesSeveralHosts(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, mimic.Options{})
	at, wait, err := TCP(ctx, d, "127.0.0.1:0")
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
	_, _, err = TCP(context.Background(), d, "nowhere:-1")
	must.Be(t, err != nil, "a bad address was accepted")
}

// The vessel's time waits for the first host when asked to.
func TestWaitsForHost(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	d := quick(t, mimic.Options{WaitForHost: true})
	at, wait, err := TCP(ctx, d, "127.0.0.1:0")
	must.Do(t, err)
	time.Sleep(50 * time.Millisecond)
	now := d.TimeS()
	must.Be(t, now == 0, "the vessel's time is %g s without a host", now)
	c := must.Get(net.Dial("tcp", at))(t)
	defer c.Close()
	list := (&testHost{conn: c}).until(t, has(wire.TypeSample, 5))
	first := firstSample(t, list).TimeMS
	must.Be(t, first <= 60000, "the first sample is at %d ms", first)
	cancel()
	must.Do(t, wait())
}

// TestHereWithoutPTY proves that where there is no pseudo-terminal, as on
// Windows, the pretended logger is reached over TCP on the loopback address
// alone, and says its hello there.
func TestHereWithoutPTY(t *testing.T) {
	d := must.Get(mimic.NewDevice(vessel.Invented(), must.Get(mimic.FindScene("calm"))(t), mimic.Options{WaitForHost: true}))(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	none := func(context.Context, *mimic.Device, string) (string, func() error, error) {
		return "", nil, errors.New("this system has no pseudo-terminals")
	}
	at, wait, err := here(ctx, d, none)
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
	if _, err := io.Copy(io.Discard, c); err != nil && !errors.Is(err, net.ErrClosed) && mimic.UnlessGone(err) != nil {
		t.Error(err)
	}
	must.Do(t, errors.Join(c.Close(), mimic.UnlessGone(unlessEnded(wait()))))
}

func unlessEnded(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
