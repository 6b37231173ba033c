package session

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"testing"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
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
	r, err := runlog.Open(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	var recorded []wire.Frame
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		recorded = append(recorded, f.Clone())
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	wantSame(t, used, recorded)
}

func watchOnce(t *testing.T, path string) []wire.Frame {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	addr, accept := listenTCP(t)
	cable, err := logger.Open(ctx, logger.Config{Opener: logger.TCP{Address: addr}, Hello: wire.AppendAskHello(nil, 0),
		BackoffLeast: 5 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	start := wire.LogStart{Version: wire.Version, UnixMS: time.Now().UnixMilli(), App: wire.MakeLabel("test")}
	log, err := runlog.OpenWriter(path, start)
	if err != nil {
		t.Fatal(err)
	}
	stepper := &countStepper{}
	s, err := New(Config{Cable: cable, Stepper: stepper, Log: log, Start: start, StartLogged: true,
		Profile: []byte("# Plover, an invented vessel\n")})
	if err != nil {
		t.Fatal(err)
	}
	result := make(chan error, 1)
	go func() { result <- s.Run(ctx) }()
	for round := range 2 {
		c := accept()
		if _, err := c.Write(append(hello(), sample(uint8(1+round))...)); err != nil {
			t.Fatal(err)
		}
		waitFor(t, "the sample was used", func() bool { return len(stepper.of(wire.TypeSample)) == 1+round })
		waitFor(t, "silence was told", func() bool { return len(stepper.of(wire.TypeSilence)) > round })
		if err := c.Close(); err != nil {
			t.Fatal(err)
		}
	}
	cancel()
	if err := <-result; err != nil {
		t.Fatal(err)
	}
	return stepper.got()
}
