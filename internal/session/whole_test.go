package session

import (
	"context"
	"errors"
	"io"
	"net"
	"path/filepath"
	"testing"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/runlog"
	"fillwright/internal/wire"
)

// The real parts fit.
var (
	_ Cable   = (*logger.Logger)(nil)
	_ Decoder = (*logger.Auto)(nil)
	_ Log     = (*runlog.Writer)(nil)
	_ Stepper = (*monitor.Monitor)(nil)
)

// The whole way with a real connection, its loss and its return, twice into
// the same real run log: what its reader gives is what was used, in order.
func TestWithRealCableAndLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "plover.run")
	var used []wire.Frame
	for range 2 {
		used = append(used, watchOnce(t, path)...)
	}
	r := must.Get(runlog.Open(path, nil))(t)
	var recorded []wire.Frame
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		must.Do(t, err)
		recorded = append(recorded, f.Clone())
	}
	must.Do(t, r.Close())
	wantSame(t, used, recorded)
}

func watchOnce(t *testing.T, path string) []wire.Frame {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	addr, accept := listenTCP(t)
	cable := must.Get(logger.Open(ctx, logger.Config{Opener: logger.TCP{Address: addr}, Hello: wire.AppendAskHello(nil, 0),
		BackoffLeast: 5 * time.Millisecond}))(t)
	start := wire.LogStart{Version: wire.Version, UnixMS: time.Now().UnixMilli(), App: wire.MakeLabel("test")}
	log := must.Get(runlog.OpenWriter(path, start))(t)
	stepper := &countStepper{}
	s := must.Get(New(Config{Cable: cable, Stepper: stepper, Log: log, Start: start, StartLogged: true,
		Texts: wire.Texts{Profile: "# Plover, an invented vessel\n"}}))(t)
	result := make(chan error, 1)
	go func() { result <- s.Run(ctx) }()
	for round := range 2 {
		c := accept()
		must.Do(t, must.Err(c.Write(append(hello(), sample(uint8(1+round))...))))
		must.Soon(t, "the sample was used", func() bool { return len(stepper.of(wire.TypeSample)) == 1+round })
		must.Soon(t, "silence was told", func() bool { return len(stepper.of(wire.TypeSilence)) > round })
		must.Do(t, c.Close())
	}
	cancel()
	must.Do(t, <-result)
	return stepper.got()
}

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
