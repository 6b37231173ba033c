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
	if err := errors.Join(c.Close(), unlessGone(unlessEnded(wait()))); err != nil {
		t.Error(err)
	}
}

func unlessEnded(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
