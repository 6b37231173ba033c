//go:build unix

package main

import (
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// line is a terminal that counts what is written to it and waits for words.
type line struct {
	cmd   *exec.Cmd
	pty   *os.File
	mu    sync.Mutex
	bytes int
	text  []byte        // since the last forget
	came  chan struct{} // something came; room for one
	ended chan struct{}
}

func onLine(b *testing.B, w, h int, args ...string) *line {
	b.Helper()
	l := &line{cmd: exec.Command(os.Args[0], args...), came: make(chan struct{}, 1), ended: make(chan struct{})}
	l.cmd.Args[0] = "fillwright"
	l.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "LC_ALL=C.UTF-8", "FILLWRIGHT_TEST_MAIN=1")
	l.cmd.Dir = b.TempDir()
	var err error
	if l.pty, err = pty.StartWithSize(l.cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { // after a failure: it must not go on looking for its port
		if l.cmd.ProcessState == nil {
			_ = l.cmd.Process.Kill() // it may have ended by itself
			_ = l.cmd.Wait()
		}
	})
	go func() {
		defer close(l.ended)
		buf := make([]byte, 64<<10)
		for {
			n, err := l.pty.Read(buf)
			l.mu.Lock()
			l.bytes += n
			l.text = append(l.text, buf[:n]...)
			l.mu.Unlock()
			select {
			case l.came <- struct{}{}:
			default:
			}
			if err != nil {
				return // the program has ended
			}
		}
	}()
	return l
}

// await waits for words that were written since the last forget.
func (l *line) await(b *testing.B, words string) {
	b.Helper()
	late := time.After(patience)
	for {
		l.mu.Lock()
		found := strings.Contains(string(l.text), words)
		l.mu.Unlock()
		if found {
			return
		}
		select {
		case <-l.came:
		case <-late:
			b.Fatalf("%q was never written", words)
		}
	}
}

func (l *line) forget() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text = l.text[:0]
}

func (l *line) count() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.bytes
}

// end stops the program and gives the processor time that it took.
func (l *line) end(b *testing.B) time.Duration {
	b.Helper()
	must.Do(b, l.cmd.Process.Signal(syscall.SIGTERM))
	<-l.ended
	_ = l.cmd.Wait() // ended by our signal
	if err := l.pty.Close(); err != nil {
		b.Error(err)
	}
	return l.cmd.ProcessState.UserTime() + l.cmd.ProcessState.SystemTime()
}

// BenchmarkLine is what the screen writes to the terminal, and the share of one
// core that the whole program takes, while a fill goes on: at most 1 kB a second
// at 20 samples a second is the goal of a 19200 baud console.
func BenchmarkLine(b *testing.B) {
	for _, c := range []struct {
		name   string
		w, h   int
		rateHz float64
	}{{"80x24-20Hz", 80, 24, 20}, {"100x30-20Hz", 100, 30, 20}, {"200x60-20Hz", 200, 60, 20}, {"100x30-50Hz", 100, 30, 50}} {
		b.Run(c.name, func(b *testing.B) {
			port, profile, h := pad(b, 1, c.rateHz)
			l := onLine(b, c.w, c.h, "watch", "--port", port, "--vessel", profile, "--no-log")
			l.await(b, "ready")
			h.turn(mimic.Fill, 20)
			time.Sleep(5 * time.Second) // words that partly stood there already are written in part
			var took time.Duration
			at := l.count()
			for b.Loop() {
				time.Sleep(10 * time.Second)
				took += 10 * time.Second
			}
			b.ReportMetric(float64(l.count()-at)/took.Seconds(), "B/s")
			b.ReportMetric(0, "ns/op")
			lived := time.Since(l.born())
			b.ReportMetric(100*l.end(b).Seconds()/lived.Seconds(), "%cpu")
		})
	}
}

// born is about when the program started: its first file is its folder.
func (l *line) born() time.Time {
	info, err := os.Stat(l.cmd.Dir)
	if err != nil {
		return time.Now()
	}
	return info.ModTime()
}

// barProfile is an invented vessel whose logger speaks pascal and
// millidegrees, so that the benchmark below says what the screen reads.
var barProfile = strings.NewReplacer(`"54 °C"`, `"150 °C"`, `"61 °C"`, `"160 °C"`).Replace(
	vessel.Example()[:strings.Index(vessel.Example(), "[[station]]")]) + `
[[station]]
name = "wall"
[[channel]]
index = 0
role = "pressure"
kind = "gauge"
[[channel]]
index = 1
role = "gas"
kind = "celsius"
[[channel]]
index = 2
role = "ambient"
kind = "celsius"
`

// scripted is a logger on a pseudo-terminal that says what the benchmark says.
type scripted struct {
	b    *testing.B
	m    *os.File
	path string
	ms   uint32
	seq  uint8
	buf  []byte
	n    int
}

func newScripted(b *testing.B) *scripted {
	b.Helper()
	m, s, err := pty.Open()
	must.Do(b, err)
	path := s.Name()
	must.Do(b, s.Close())
	go func() { _, _ = io.Copy(io.Discard, m) }() // what the host asks
	return &scripted{b: b, m: m, path: path}
}

// say sends a sample 50 ms later in the logger's time.
func (s *scripted) say(bar float64) {
	s.b.Helper()
	s.ms += 50
	s.seq++
	s.n++
	s.buf = s.buf[:0]
	if s.n%50 == 1 {
		h := wire.Hello{Protocol: wire.Version, Board: 9, Boot: 1, RateMHz: 20000, N: 3}
		h.Channels[0] = wire.Channel{Index: 0, Kind: wire.KindPascal}
		h.Channels[1] = wire.Channel{Index: 1, Kind: wire.KindMilliCelsius}
		h.Channels[2] = wire.Channel{Index: 2, Kind: wire.KindMilliCelsius}
		s.buf = wire.AppendHello(s.buf, s.seq, &h)
		s.seq++
	}
	jitter := int32(s.n % 7)
	v := wire.Sample{TimeMS: s.ms, N: 3}
	v.Values[0], v.Values[1], v.Values[2] = int32(bar*1e5)+jitter*100, 22000+jitter*10, 21000+jitter*7
	s.buf = wire.AppendSample(s.buf, s.seq, &v)
	if _, err := s.m.Write(s.buf); err != nil {
		s.b.Fatal(err)
	}
}

// hold says a pressure for some seconds of the logger's time, paced by tenfold.
func (s *scripted) hold(bar, forS float64) {
	for i := 0; i < int(forS*20); i++ {
		s.say(bar)
		time.Sleep(5 * time.Millisecond)
	}
}

// onScript is the screen behind a scripted logger, a little under the vessel's
// limit.
func onScript(b *testing.B, w, h int) (*scripted, *line) {
	b.Helper()
	profile := filepath.Join(b.TempDir(), "bar.toml")
	must.Do(b, os.WriteFile(profile, []byte(barProfile), 0o600))
	logger := newScripted(b)
	b.Cleanup(func() { _ = logger.m.Close() })
	l := onLine(b, w, h, "watch", "--port", logger.path, "--vessel", profile, "--no-log", "--silent")
	l.await(b, "MARGIN")
	for bar := 0.0; bar < 49.5; bar += 0.15 {
		logger.say(bar)
		time.Sleep(5 * time.Millisecond)
	}
	return logger, l
}

// BenchmarkAbortLine is what the screen writes to the terminal while an abort
// stands and flashes, at 20 samples a second.
func BenchmarkAbortLine(b *testing.B) {
	logger, l := onScript(b, 80, 24)
	logger.say(50.6)
	l.await(b, "ABORT")
	written, took := 0, time.Duration(0)
	for b.Loop() {
		at, began := l.count(), time.Now()
		for range 10 * 20 {
			logger.say(50.6)
			time.Sleep(50 * time.Millisecond)
		}
		written, took = written+l.count()-at, took+time.Since(began)
	}
	b.ReportMetric(float64(written)/took.Seconds(), "B/s")
	b.ReportMetric(0, "ns/op")
	l.end(b)
}

// BenchmarkDrawnAlarm is the time from the last byte of the sample that is over
// the vessel's limit, written to the cable, until the abort stands on the
// terminal. The goal is 50 ms for 99 of 100.
func BenchmarkDrawnAlarm(b *testing.B) {
	logger, l := onScript(b, 100, 30)
	var took []float64
	for b.Loop() {
		logger.hold(49.5, 3)
		must.Do(b, must.Err(l.pty.WriteString("a")))
		logger.hold(49.0, 4)
		for _, bar := range []float64{49.4, 49.7, 49.95} {
			logger.hold(bar, 0.1)
		}
		l.forget()
		at := time.Now()
		logger.say(50.05)
		l.await(b, "ABORT")
		took = append(took, time.Since(at).Seconds()*1e3)
	}
	slices.Sort(took)
	at := func(share float64) float64 { return took[min(int(math.Ceil(share*float64(len(took))))-1, len(took)-1)] }
	b.ReportMetric(at(0.5), "ms-median")
	b.ReportMetric(at(0.99), "ms-99th")
	b.ReportMetric(took[len(took)-1], "ms-worst")
	b.ReportMetric(0, "ns/op")
	l.end(b)
}
