//go:build unix

package logger

import (
	"context"
	"errors"
	"net"
	"strings"
	"testing"

	"fillwright/internal/must"
)

func listen(t *testing.T, addr string) net.Listener {
	t.Helper()
	ln := must.Get(net.Listen("tcp", addr))(t)
	t.Cleanup(func() { ln.Close() }) // a second Close is no failure here
	return ln
}

func accept(t *testing.T, ln net.Listener) net.Conn {
	t.Helper()
	return must.Get(ln.Accept())(t)
}

// Bytes pass both ways; a connection that ends is opened again, also when
// the listener itself was away.
func TestTCPReconnects(t *testing.T) {
	ln := listen(t, "127.0.0.1:0")
	addr := ln.Addr().String()
	l := start(t, Config{Opener: TCP{Address: addr}, Hello: []byte("hello?")})
	for round := range 3 {
		c := accept(t, ln)
		wantKind(t, l, Up)
		asked := make([]byte, 6)
		_, err := c.Read(asked)
		must.Need(t, err == nil && string(asked) == "hello?", "asked %q, %v", asked, err)
		must.Do(t, must.Err(c.Write(someSamples(50))))
		wantBytes(t, l, someSamples(50))
		if round == 1 {
			must.Do(t, ln.Close())
		}
		must.Do(t, c.Close())
		down := wantKind(t, l, Down)
		var lost *OpenError
		must.Need(t, errors.As(down.Err, &lost) && lost.Problem == ProblemLost && strings.Contains(down.Text, "hung up"),
			"down: %q, %v", down.Text, down.Err)
		if round == 1 {
			refused := wantKind(t, l, Trouble)
			wantProblem(t, refused.Err, ProblemRefused, addr)
			ln = listen(t, addr)
		}
	}
}

func TestTCPRefused(t *testing.T) {
	ln := listen(t, "127.0.0.1:0")
	addr := ln.Addr().String()
	must.Do(t, ln.Close())
	_, err := Open(context.Background(), Config{Opener: TCP{Address: addr}})
	wantProblem(t, err, ProblemRefused, addr, "nothing listens")
}

func TestTCPBadAddress(t *testing.T) {
	for _, addr := range []string{"", "192.168.4.1", ":7000", "pad:", "pad:http", "pad:0", "pad:70000", "a:b:c"} {
		_, err := Open(context.Background(), Config{Opener: TCP{Address: addr}})
		wantProblem(t, err, ProblemAddress, addr, "--tcp 192.168.4.1:7000")
	}
}
