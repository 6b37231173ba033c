//go:build unix

package logger

import (
	"io"
	"math/rand/v2"
	"net"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// disconnectsEnv is how often the logger is pulled out, on each kind of cable.
const disconnectsEnv = "FILLWRIGHT_DISCONNECTS"

// rounds is a number from the environment.
func rounds(t *testing.T, env string, otherwise int) int {
	t.Helper()
	text := os.Getenv(env)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	must.Need(t, err == nil && n >= 1, "%s=%q is no number", env, text)
	return n
}

// Pulled out at any byte, again and again, the logger is opened again each
// time; of what was said each frame comes once, whole and in order, none is made
// up of two halves, and nothing is left behind of a cable that is gone.
func TestDisconnects(t *testing.T) {
	n := rounds(t, disconnectsEnv, 50)
	t.Run("serial", func(t *testing.T) {
		d := plugIn(t)
		l := start(t, Config{Opener: NewSerial(d.link, 0), BackoffLeast: time.Millisecond, BackoffMost: 4 * time.Millisecond})
		first := true
		disconnects(t, l, n, func() (io.Writer, func()) {
			if !first {
				d.replug()
			}
			first = false
			return d.m, d.unplug
		})
		d.replug() // for the cleaning up
	})
	t.Run("tcp", func(t *testing.T) {
		ln := listen(t, "127.0.0.1:0")
		l := start(t, Config{Opener: TCP{Address: ln.Addr().String()}, BackoffLeast: time.Millisecond, BackoffMost: 4 * time.Millisecond})
		rough := false
		disconnects(t, l, n, func() (io.Writer, func()) {
			c := accept(t, ln)
			return c, func() {
				if rough = !rough; rough { // a reset instead of a farewell
					err := c.(*net.TCPConn).SetLinger(0)
					must.Be(t, err == nil, "%v", err)
				}
				if err := c.Close(); err != nil {
					t.Error(err)
				}
			}
		})
	})
}

// disconnects plugs in and pulls out n times.
func disconnects(t *testing.T, l *Logger, n int, plug func() (w io.Writer, pull func())) {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	h := &heard{t: t, l: l}
	var settled, most held
	for round := range n {
		w, pull := plug()
		h.until(Up)
		h.auto, h.frames = Auto{}, nil
		said := spoken(1 + rng.IntN(40))
		part := wire.AppendSample(nil, 0, &wire.Sample{TimeMS: 1 << 30})
		must.Do(t, must.Err(w.Write(append(join(said), part[:rng.IntN(len(part))]...))))
		hurried := round%3 == 2 // pulled out before it was read
		for !hurried && len(h.frames) < len(said) {
			h.take()
		}
		pull()
		h.until(Down)
		h.matches(said, hurried)
		if now := holding(); round < 20 {
			settled = settled.most(now)
		} else {
			most = most.most(now)
		}
	}
	must.Be(t, most.goroutines <= settled.goroutines+2 && most.handles <= settled.handles+2,
		"it grows: in the first rounds at most %+v, later %+v", settled, most)
}

// held is what the process holds.
type held struct{ goroutines, handles int }

func (h held) most(o held) held {
	return held{max(h.goroutines, o.goroutines), max(h.handles, o.handles)}
}

func holding() held {
	h := held{goroutines: runtime.NumGoroutine()}
	for _, dir := range []string{"/proc/self/fd", "/dev/fd"} {
		if all, err := os.ReadDir(dir); err == nil {
			h.handles = len(all)
			break
		}
	}
	return h
}

// spoken are a hello and n samples, numbered by their time.
func spoken(n int) (all [][]byte) {
	hello := wire.Hello{Protocol: wire.Version, Board: 7, RateMHz: 20_000, N: 1}
	hello.Channels[0] = wire.Channel{Kind: wire.KindCounts, Scale: 4095}
	all = append(all, wire.AppendHello([]byte{0}, 0, &hello))
	for i := range n {
		s := wire.Sample{TimeMS: uint32(i), N: 1}
		all = append(all, wire.AppendSample(nil, uint8(i+1), &s))
	}
	return all
}

func join(all [][]byte) (b []byte) {
	for _, f := range all {
		b = append(b, f...)
	}
	return b
}

// heard is the receiver's side.
type heard struct {
	t      *testing.T
	l      *Logger
	auto   Auto
	frames []wire.Frame
}

func (h *heard) take() Event {
	h.t.Helper()
	ev := next(h.t, h.l)
	if ev.Kind == Bytes {
		h.auto.Decode(ev.Data, func(f wire.Frame) { h.frames = append(h.frames, f.Clone()) })
	}
	return ev
}

func (h *heard) until(k Kind) {
	h.t.Helper()
	for h.take().Kind != k {
	}
}

// matches holds what was heard against what was said; of hurried talk the end
// may be missing.
func (h *heard) matches(said [][]byte, hurried bool) {
	h.t.Helper()
	must.Need(h.t, len(h.frames) <= len(said) && (hurried || len(h.frames) >= len(said)), "%d frames heard, %d said", len(h.frames), len(said))
	for i, f := range h.frames {
		var s wire.Sample
		if i == 0 && f.Type == wire.TypeHello {
			continue
		}
		must.Need(h.t, f.Type == wire.TypeSample && wire.ParseSample(f.Body, &s) == nil && s.TimeMS == uint32(i-1), "frame %d is %v", i, f)
	}
}
