package session

import (
	"fillwright/internal/must"
	"net"
	"testing"
)

func listenTCP(t *testing.T) (addr string, accept func() net.Conn) {
	t.Helper()
	ln := must.Get(net.Listen("tcp", "127.0.0.1:0"))(t)
	t.Cleanup(func() {
		err := ln.Close()
		must.Be(t, err == nil, "%v", err)
	})
	return ln.Addr().String(), func() net.Conn {
		t.Helper()
		return must.Get(ln.Accept())(t)
	}
}
