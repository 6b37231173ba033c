//go:build unix

package endtoend

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/alarm"
	"fillwright/internal/logger"
	"fillwright/internal/mimic"
	"fillwright/internal/mimic/port"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/runlog"
	"fillwright/internal/screen"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The long watch: PROOF_SOAK_HOURS is how many hours of the vessel it lasts
// (0.2), PROOF_SOAK_SPEED how many times faster than real time (120).
const (
	soakHours  = "PROOF_SOAK_HOURS"
	soakSpeed  = "PROOF_SOAK_SPEED"
	soakRateHz = 50
	soakSeed   = 11
)

// fastClock is a clock that runs faster, for session and cable alike.
type fastClock struct {
	began time.Time
	speed float64
}

func (c fastClock) Now() time.Time {
	return c.began.Add(time.Duration(float64(time.Since(c.began)) * c.speed))
}

func (c fastClock) Tick(d time.Duration) (<-chan time.Time, func()) {
	out, done := make(chan time.Time, 1), make(chan struct{})
	t := time.NewTicker(max(time.Duration(float64(d)/c.speed), time.Millisecond))
	go func() {
		for {
			select {
			case <-done:
				t.Stop()
				return
			case <-t.C:
			}
			select {
			case out <- c.Now():
			default:
			}
		}
	}()
	return out, func() { close(done) }
}

// longDay is a vessel that is filled, held and vented again and again, by a supply
// that never ends.
func longDay(hours float64) mimic.Scene {
	sc, err := mimic.FindScene("calm")
	if err != nil {
		panic(err)
	}
	one := sc.Plan
	for range int(hours*3600/sc.ForS) + 1 {
		sc.Plan = append(sc.Plan, one...)
	}
	sc.Set = func(t *mimic.Truth) { t.Supply.VolumeM3 = 50 }
	return sc
}

// usage is what the process holds at a moment.
type usage struct {
	hours               float64
	heapMiB, rssMiB     float64
	goroutines, handles int
}

func measured(hours float64) usage {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	u := usage{hours: hours, heapMiB: float64(m.HeapAlloc) / (1 << 20), goroutines: runtime.NumGoroutine()}
	for _, dir := range []string{"/proc/self/fd", "/dev/fd"} {
		if all, err := os.ReadDir(dir); err == nil {
			u.handles = len(all)
			break
		}
	}
	if text, err := os.ReadFile("/proc/self/statm"); err == nil {
		if pages, err := strconv.Atoi(strings.Fields(string(text))[1]); err == nil {
			u.rssMiB = float64(pages) * float64(os.Getpagesize()) / (1 << 20)
		}
	}
	return u
}

// number reads an environment variable.
func number(t *testing.T, name string, otherwise float64) float64 {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	x, err := strconv.ParseFloat(text, 64)
	must.Need(t, err == nil && x > 0, "%s=%q is no number", name, text)
	return x
}

// TestLongWatch: a vessel watched at 50 Hz through a pseudo-terminal for hours,
// with frames lost, spoilt and repeated, the logger restarting and unplugged,
// the run log removed and overwritten, keys pressed and the picture drawn. In
// the end nothing has grown: memory, handles, goroutines.
func TestLongWatch(t *testing.T) {
	hours, speed := number(t, soakHours, 0.2), number(t, soakSpeed, 120)
	w := startWatch(t, hours, speed)
	rng := rand.New(rand.NewPCG(soakSeed, 2))
	var all []usage
	counts := map[string]int{}
	nextFault, nextLook := 0.0, 0.0
	late := time.Now().Add(time.Minute + time.Duration(10*hours/speed*float64(time.Hour)))
	for at := 0.0; at < hours; at = w.device.TimeS() / 3600 {
		must.Need(t, !time.Now().After(late), "the vessel's time stands at %.3f h of %.3f", at, hours)
		if at >= nextFault { // about every seven minutes
			nextFault = at + 0.12*rng.ExpFloat64()
			counts[w.fault(t, rng)]++
		}
		if at >= nextLook {
			nextLook = at + hours/24
			all = append(all, measured(at))
		}
		w.draw(rng)
		time.Sleep(20 * time.Millisecond)
	}
	all = append(all, measured(w.device.TimeS()/3600))
	samples := w.samples.Load()
	w.end(t)
	for _, u := range all {
		t.Logf("%6.2f h: heap %5.1f MiB, resident %5.1f MiB, %d goroutines, %d handles", u.hours, u.heapMiB, u.rssMiB, u.goroutines, u.handles)
	}
	t.Logf("%d samples of %.0f, faults %v, %d snapshots with an abort", samples, hours*3600*soakRateHz, counts, w.aborts.Load())
	// A busy machine leaves out many.
	least := hours * 3600 * soakRateHz / 10
	must.Be(t, float64(samples) >= least, "only %d samples came through: no long watch", samples)
	flat(t, all)
}

// flat holds the last quarter against the second: what fills up at first may.
func flat(t *testing.T, all []usage) {
	t.Helper()
	most := func(part []usage) (m usage) {
		for _, u := range part {
			m.heapMiB, m.rssMiB = max(m.heapMiB, u.heapMiB), max(m.rssMiB, u.rssMiB)
			m.goroutines, m.handles = max(m.goroutines, u.goroutines), max(m.handles, u.handles)
		}
		return m
	}
	n := len(all)
	before, after := most(all[n/4:n/2]), most(all[n*3/4:])
	if after.heapMiB > before.heapMiB+6 || after.rssMiB > before.rssMiB+40 ||
		after.goroutines > before.goroutines+8 || after.handles > before.handles+6 {
		t.Errorf("it grows: second quarter at most %+v, last quarter %+v", before, after)
	}
}

// watch is the whole chain at work.
type watch struct {
	device  *mimic.Device
	profile *vessel.Profile
	folder  string
	port    string
	ctx     context.Context
	cancel  context.CancelFunc
	unplug  context.CancelFunc // of the present pseudo-terminal
	gone    func() error       // waits until it is gone
	session *session.Session
	ended   chan error
	model   tea.Model
	trail   *screen.Trail
	logs    int

	samples, aborts atomic.Uint64
}

func startWatch(t *testing.T, hours, speed float64) *watch {
	t.Helper()
	p := vessel.Invented()
	cable := mimic.Cable{Lost: 0.002, Flipped: 0.002, Repeated: 0.002}
	rng := rand.New(rand.NewPCG(soakSeed, 1))
	for at := 300.0; at < hours*3600; at += 60 + 1800*rng.ExpFloat64() {
		cable.RestartsS = append(cable.RestartsS, at)
	}
	w := &watch{profile: p, folder: t.TempDir(), ended: make(chan error, 1), trail: screen.NewTrail()}
	w.port = filepath.Join(w.folder, "port")
	w.ctx, w.cancel = context.WithCancel(context.Background())
	var err error
	w.device, err = mimic.NewDevice(p, longDay(hours), mimic.Options{Seed: soakSeed, RateHz: soakRateHz, Cable: cable, Speed: speed, WaitForHost: true})
	must.Do(t, err)
	w.device.Begin(w.ctx) // before a cable does, which is unplugged
	w.plug(t)
	clock := fastClock{began: time.Now(), speed: speed}
	logged, err := logger.Open(w.ctx, logger.Config{Opener: logger.NewSerial(w.port, logger.BaudDefault), Now: clock.Now,
		Hello: wire.AppendAskHello(nil, 0), BackoffLeast: 2 * time.Millisecond, BackoffMost: 20 * time.Millisecond})
	must.Do(t, err)
	start := wire.LogStart{UnixMS: clock.Now().UnixMilli(), App: wire.MakeLabel("soak")}
	log := must.Get(runlog.OpenWriter(filepath.Join(w.folder, "day.fill"), start))(t)
	w.session, err = session.New(session.Config{Cable: logged, Log: log, Start: start, StartLogged: true, Clock: clock,
		Stepper: counted{monitor.New(monitor.Config{Profile: p}), w}, Texts: wire.Texts{Profile: vessel.Example()}})
	must.Do(t, err)
	go func() { w.ended <- w.session.Run(w.ctx) }()
	w.model = screen.NewModel(w.ctx, w.session, screen.Options{Profile: p, Depth: canvas.DepthColour, Silent: true, Trail: w.trail})
	return w
}

// plug makes a pseudo-terminal for the logger, at the same path each time.
func (w *watch) plug(t *testing.T) {
	t.Helper()
	ctx, cancel := context.WithCancel(w.ctx)
	_, wait, err := port.PTY(ctx, w.device, w.port)
	must.Do(t, err)
	w.unplug, w.gone = cancel, wait
}

// counted is a Stepper that counts, and keeps the trail as a live screen does.
type counted struct {
	session.Stepper
	w *watch
}

func (c counted) Step(f wire.Frame) monitor.Snapshot {
	s := c.Stepper.Step(f)
	if f.Type == wire.TypeSample {
		c.w.samples.Add(1)
	}
	if s.Level == alarm.LevelAbort {
		c.w.aborts.Add(1)
	}
	c.w.trail.Add(&s)
	return s
}

// fault lets something go wrong.
func (w *watch) fault(t *testing.T, rng *rand.Rand) string {
	t.Helper()
	switch n := rng.IntN(20); {
	case n < 12:
		w.unplug()
		err := w.gone()
		must.Be(t, err == nil || errors.Is(err, context.Canceled), "the pseudo-terminal: %v", err)
		time.Sleep(time.Duration(rng.IntN(50)) * time.Millisecond)
		w.plug(t)
		return "unplugged"
	case n < 13 && w.logs < 30:
		w.logs++
		for _, f := range w.files(t) {
			err := os.Remove(f)
			must.Be(t, err == nil, "%v", err)
		}
		return "log removed"
	case n < 14 && w.logs < 30:
		w.logs++
		if all := w.files(t); len(all) > 0 {
			err := os.Truncate(all[len(all)-1], 0)
			must.Be(t, err == nil, "%v", err)
		}
		return "log cut"
	}
	for _, e := range []wire.Entry{{Kind: wire.EntryAcknowledge}, {Kind: wire.EntryMark, Text: "soak"}} {
		err := w.session.Entry(e)
		must.Be(t, err == nil || errors.Is(err, session.ErrTooMany), "%v", err)
	}
	return "entries"
}

// files are the logs, the one in use last.
func (w *watch) files(t *testing.T) []string {
	t.Helper()
	all := must.Get(filepath.Glob(filepath.Join(w.folder, "*.fill")))(t)
	return all
}

// draw presses a key now and then and draws the picture in a window that
// changes.
func (w *watch) draw(rng *rand.Rand) {
	keys := "auwlpi?r"
	for _, msg := range []tea.Msg{
		tea.WindowSizeMsg{Width: 60 + rng.IntN(100), Height: 16 + rng.IntN(40)},
		tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{rune(keys[rng.IntN(len(keys))])}},
	} {
		w.model, _ = w.model.Update(msg)
	}
	_ = w.model.View()
}

// end ends everything in order.
func (w *watch) end(t *testing.T) {
	t.Helper()
	w.cancel()
	var changed *runlog.WriteError
	if err := <-w.ended; err != nil && !(w.logs > 0 && errors.As(err, &changed)) {
		t.Errorf("the session: %v", err)
	}
	if err := w.gone(); err != nil && !errors.Is(err, context.Canceled) {
		t.Errorf("the pseudo-terminal: %v", err)
	}
}
