//go:build unix

package logger

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// device is the logger's side of a real pseudo-terminal, which is plugged in
// under a name that stays.
type device struct {
	t    *testing.T
	link string
	m    *os.File
	node string
}

func plugIn(t *testing.T) *device {
	t.Helper()
	d := &device{t: t, link: filepath.Join(t.TempDir(), "ttyUSB0")}
	d.replug()
	t.Cleanup(d.unplug)
	return d
}

func (d *device) replug() {
	d.t.Helper()
	m, s, err := pty.Open()
	must.Need(d.t, err == nil, "no pseudo-terminal: %v", err)
	d.m, d.node = m, s.Name()
	must.Do(d.t, s.Close())
	must.Do(d.t, os.Symlink(d.node, d.link))
}

func (d *device) unplug() {
	if d.m == nil {
		return
	}
	if err := d.m.Close(); err != nil {
		d.t.Error(err)
	}
	d.m = nil
	if err := os.Remove(d.link); err != nil {
		d.t.Error(err)
	}
}

func (d *device) say(p []byte) {
	d.t.Helper()
	_, err := d.m.Write(p)
	must.Need(d.t, err == nil, "the device can't speak: %v", err)
}

// start opens a logger with short waits and closes it after the test.
func start(t *testing.T, cfg Config) *Logger {
	t.Helper()
	if cfg.BackoffLeast == 0 {
		cfg.BackoffLeast, cfg.BackoffMost = 10*time.Millisecond, 40*time.Millisecond
	}
	l, err := Open(context.Background(), cfg)
	must.Need(t, err == nil, "Open: %v", err)
	t.Cleanup(func() {
		err := l.Close()
		must.Be(t, err == nil, "Close: %v", err)
	})
	return l
}

func next(t *testing.T, l *Logger) Event {
	t.Helper()
	ev := must.Comes(t, "the logger says something", l.Events())
	must.Need(t, !ev.At.IsZero(), "the events ended, or one has no time: %+v, %v", ev, l.Err())
	return ev
}

func wantKind(t *testing.T, l *Logger, k Kind) Event {
	t.Helper()
	ev := next(t, l)
	must.Need(t, ev.Kind == k, "event kind %d (%q, %v), want %d", ev.Kind, ev.Text, ev.Err, k)
	return ev
}

// wantBytes gathers Bytes events until they are want.
func wantBytes(t *testing.T, l *Logger, want []byte) {
	t.Helper()
	var got []byte
	for len(got) < len(want) {
		got = append(got, wantKind(t, l, Bytes).Data...)
	}
	must.Need(t, bytes.Equal(got, want), "bytes differ: got %d, want %d", len(got), len(want))
}

func wantProblem(t *testing.T, err error, p Problem, say ...string) {
	t.Helper()
	open, ok := err.(*OpenError)
	must.Need(t, ok, "error %T %v, want an *OpenError", err, err)
	must.Need(t, open.Problem == p, "problem %d, want %d: %v", open.Problem, p, err)
	for _, s := range say {
		must.Be(t, strings.Contains(err.Error(), s), "the error does not say %q:\n%v", s, err)
	}
}

// someSamples is a stream of n frames whose first is a hello.
func someSamples(n int) []byte {
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: 1, RateMHz: 50000, N: 2}
	h.Channels[0] = wire.Channel{Index: 0, Kind: wire.KindCounts, Scale: 4095, Label: wire.MakeLabel("pressure")}
	h.Channels[1] = wire.Channel{Index: 1, Kind: wire.KindNanovolt, Label: wire.MakeLabel("gas")}
	out := wire.AppendHello(nil, 0, &h)
	for i := 1; i < n; i++ {
		s := wire.Sample{TimeMS: uint32(20 * i), N: 2}
		s.Values[0], s.Values[1] = int32(409+i), int32(800000+i)
		out = wire.AppendSample(out, uint8(i), &s)
	}
	return out
}
