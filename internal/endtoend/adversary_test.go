package endtoend

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fillwright/internal/alarm"
	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/runlog"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The adversary is a logger that fills honestly and then lies: whatever it
// sends, in right frames, must not keep the screen fresh. Its vessel is
// invented. See liar_test.go for its lies.

var adversaryProfile = strings.NewReplacer("Plover", "Dunlin", `"54 °C"`, `"150 °C"`, `"61 °C"`, `"160 °C"`).Replace(
	vessel.Example()[:strings.Index(vessel.Example(), "[[station]]")]) + `
[[station]]
name = "sun"
[[channel]]
index = 0
role = "pressure"
kind = "ratiometric"
zero = "0.5 V"
full_scale = "100 bar"
[[channel]]
index = 1
role = "gas"
kind = "celsius"
[[channel]]
index = 2
role = "ambient"
kind = "celsius"
`

// blindMostS is what the program promises, and how much later a session's
// turns and the host's stamps may make it.
const blindMostS = 3.3

// watched is what a session's monitor said at every input.
type watched struct {
	m *monitor.Monitor

	mu      sync.Mutex
	told    []string
	last    monitor.Snapshot
	lieS    float64 // session time at which the lie began, NaN: not yet
	blindS  float64 // … at which blind was raised, NaN: never
	lateS   float64 // … of an input by which it had to be and was not
	slackS  float64 // for how long in all the machine let session or liar wait
	at      time.Time
	gasS    float64 // … at which gas was asked for too late, NaN: never
	staleS  float64 // … at which the readings were first old
	illTold string  // what was said of the logger
}

func (w *watched) Step(f wire.Frame) monitor.Snapshot {
	s := w.m.Step(f)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.told = append(w.told, fmt.Sprintf("%+v", s))
	w.last = s
	if math.IsNaN(w.lieS) {
		return s
	}
	if s.Link.AgeS > 1 && math.IsNaN(w.staleS) {
		w.staleS = s.TimeS
	}
	for i := range s.Alarms {
		a := &s.Alarms[i]
		switch {
		case a.Name == alarm.Blind && a.State == alarm.StateUnacknowledged && math.IsNaN(w.blindS):
			w.blindS = s.TimeS
		case a.Name == alarm.LoggerIll || a.Name == alarm.LoggerChanged:
			w.illTold = a.Cause.String()
		}
	}
	w.starved(time.Since(w.at), 300*time.Millisecond)
	w.at = time.Now()
	if s.TimeS-w.lieS > blindMostS+w.slackS && math.IsNaN(w.blindS) && math.IsNaN(w.lateS) {
		w.lateS = s.TimeS
	}
	if s.TimeS-w.lieS > blindMostS+w.slackS && s.Advice.Verdict.AsksForGas() && math.IsNaN(w.gasS) {
		w.gasS = s.TimeS
	}
	return s
}

// filling tells whether the fill was seen for a second.
func (w *watched) filling() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.last.Phase == phase.Filling && w.last.TimeS-w.last.PhaseSince > 1 && w.last.Advice.Verdict.AsksForGas()
}

// waited is how long the liar had to wait for its turn.
func (w *watched) waited(took time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !math.IsNaN(w.lieS) {
		w.starved(took, 2*turn)
	}
}

func (w *watched) lies() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.lieS, w.at = w.last.TimeS, time.Now()
}

// starved notes that a turn took so long, which a busy machine is to blame
// for, not the program: one has to be waited for.
func (w *watched) starved(took, usual time.Duration) {
	w.slackS += max(0, (took - usual).Seconds())
}

// pretend runs one lie against a whole session, cable, decoder, log and all,
// and tells what came of it.
func pretend(ctx context.Context, path string, lie lie, open logger.Opener, line io.ReadWriter) (report string, err error) {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	p, err := vessel.Parse("dunlin.toml", []byte(adversaryProfile))
	if err != nil {
		return "", err
	}
	nan := math.NaN()
	w := &watched{m: monitor.New(monitor.Config{Profile: p}), lieS: nan, blindS: nan, lateS: nan, gasS: nan, staleS: nan}
	if underRace { // it slows all down: the time is held without it
		w.slackS = blindMostS
	}
	cable, err := logger.Open(ctx, logger.Config{Opener: open})
	if err != nil {
		return "", err
	}
	start := wire.LogStart{Version: wire.Version, UnixMS: time.Now().UnixMilli(), App: wire.MakeLabel("proof")}
	log, err := runlog.OpenWriter(path, start)
	if err != nil {
		return "", errors.Join(err, cable.Close())
	}
	s, err := session.New(session.Config{Cable: cable, Stepper: w, Log: log, Start: start, StartLogged: true, Texts: wire.Texts{Profile: adversaryProfile}})
	if err != nil {
		return "", errors.Join(err, cable.Close(), log.Close())
	}
	result := make(chan error, 1)
	go func() { result <- s.Run(ctx) }()
	go func() { _, _ = io.Copy(io.Discard, line) }() // what the host asks; the line's end ends it
	l := &liar{w: line, rng: newRand(7), lines: lie.lines}
	played := l.play(ctx, lie, w)
	cancel()
	if err := errors.Join(played, <-result); err != nil {
		return "", fmt.Errorf("the fill was never seen, or the line broke: %w", err)
	}
	report, err = w.verdict()
	return report, errors.Join(err, sameReplay(path, p, w.told))
}

// verdict is what came of a lie.
func (w *watched) verdict() (report string, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	report = fmt.Sprintf("old after %5.2f s, blind after %5.2f s  %s", w.staleS-w.lieS, w.blindS-w.lieS, w.illTold)
	if !math.IsNaN(w.lateS) || math.IsNaN(w.blindS) {
		err = fmt.Errorf("want blind after at most %.1f s; last: phase %s, age %.2f s, %s", blindMostS+w.slackS, w.last.Phase, w.last.Link.AgeS, w.last.Advice.Reason)
	}
	if !math.IsNaN(w.gasS) {
		err = errors.Join(err, fmt.Errorf("gas was asked for %.2f s after the lie began", w.gasS-w.lieS))
	}
	return report, err
}

// sameReplay is an error unless a replay of the log gives every Snapshot again.
func sameReplay(path string, p *vessel.Profile, want []string) (err error) {
	r, err := runlog.Open(path, nil)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	m := monitor.New(monitor.Config{Profile: p})
	for i := 0; ; i++ {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			if i != len(want) {
				return fmt.Errorf("%d inputs in the log, %d were used", i, len(want))
			}
			return nil
		}
		if err != nil {
			return err
		}
		if got := fmt.Sprintf("%+v", m.Step(f)); i >= len(want) || got != want[i] {
			return fmt.Errorf("input %d (type %s) is another one in the replay", i, f.Type)
		}
	}
}

// tellAll tells every lie at once, each to a session of its own.
func tellAll(t *testing.T, line func(t *testing.T) (logger.Opener, io.ReadWriter)) {
	t.Helper()
	list := lies()
	if underRace { // a third of them has every sort
		for i := range list {
			if i%3 == 0 {
				list[i/3] = list[i]
			}
		}
		list = list[:(len(list)+2)/3]
	}
	reports, errs := make([]string, len(list)), make([]error, len(list))
	dir := t.TempDir()
	var all sync.WaitGroup
	for i, lie := range list {
		open, rw := line(t)
		all.Go(func() {
			reports[i], errs[i] = pretend(t.Context(), filepath.Join(dir, fmt.Sprintf("%d.fill", i)), lie, open, rw)
		})
	}
	all.Wait()
	for i, lie := range list {
		t.Logf("%-34s %s", lie.name, reports[i])
		if errs[i] != nil {
			t.Errorf("%s: %v", lie.name, errs[i])
		}
	}
}

// Each lie in the adversary's list, over TCP, in the middle of a fill: blind
// within 3.3 s by the host's clock, no verdict that asks for gas after that,
// and the replay of the log gives the very same Snapshots.
func TestAdversaryOverTCP(t *testing.T) {
	tellAll(t, func(t *testing.T) (logger.Opener, io.ReadWriter) {
		ln := must.Get(net.Listen("tcp", "127.0.0.1:0"))(t)
		t.Cleanup(func() { _ = ln.Close() }) // nobody else connects
		lines := make(chan net.Conn, 1)
		go func() {
			if c, err := ln.Accept(); err == nil {
				lines <- c
			}
		}()
		return logger.TCP{Address: ln.Addr().String()}, &lazyLine{lines: lines}
	})
}

// lazyLine is a connection that is there once the host has connected.
type lazyLine struct {
	lines chan net.Conn
	once  sync.Once
	c     net.Conn
}

func (l *lazyLine) conn() net.Conn {
	l.once.Do(func() { l.c = <-l.lines })
	return l.c
}

func (l *lazyLine) Read(p []byte) (int, error)  { return l.conn().Read(p) }
func (l *lazyLine) Write(p []byte) (int, error) { return l.conn().Write(p) }
