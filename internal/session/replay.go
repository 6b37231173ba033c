package session

import (
	"context"
	"errors"
	"io"
	"math"
	"sync"
	"time"

	"fillwright/internal/monitor"
	"fillwright/internal/recording"
	"fillwright/internal/wire"
)

// ReplayConfig is what a Replay is made of. Source and Begin are required.
type ReplayConfig struct {
	Source recording.Source
	// Begin makes the Stepper for the part of the recording that begins: it is
	// called before the first frame, and again where a recording was appended
	// to, for there the live session began anew too.
	Begin func() (Stepper, error)
	// Seen, if not nil, is called with each input and the Snapshot after it,
	// in their order and when they are due. The Snapshot is the next one after that.
	Seen  func(f wire.Frame, s *monitor.Snapshot) error
	Speed float64 // times real time; +Inf: as fast as it goes; 0: 1
	Clock Clock   // nil: the system's
	EndS  float64 // session time of the last input, NaN if not known
}

// Replay runs a recording through the monitor, paced by session time.
type Replay struct {
	cfg  ReplayConfig
	feed mailbox

	mu     sync.Mutex
	pos    Position
	steps  int           // inputs to let through while paused
	events uint64        // in the newest Snapshot
	seeks  bool          // as fast as it goes, to the next event
	turned chan struct{} // closed and renewed when the pace changes
}

// Position is where a replay stands.
type Position struct {
	TimeS  float64 // session time of the newest Snapshot
	EndS   float64 // session time of the last input, NaN if not known
	Speed  float64 // times real time; +Inf: as fast as it goes
	Paused bool
	Ended  bool
}

// ErrReplay is the answer to entries: a recording can't be changed.
var ErrReplay = errors.New("this is a recording; nothing can be entered into it")

// Bounds of a replay's speed other than +Inf.
const (
	speedLeast = 0.01
	speedMost  = 1e4
)

// NewReplay makes a Replay. Run it once.
func NewReplay(cfg ReplayConfig) (*Replay, error) {
	if cfg.Source == nil || cfg.Begin == nil {
		return nil, errors.New("session: a source and a stepper are required")
	}
	if cfg.Clock == nil {
		cfg.Clock = SystemClock()
	}
	r := &Replay{cfg: cfg, turned: make(chan struct{}), pos: Position{EndS: cfg.EndS}}
	r.pos.Speed = boundSpeed(cfg.Speed)
	r.feed.init()
	return r, nil
}

func boundSpeed(times float64) float64 {
	switch {
	case times == 0 || math.IsNaN(times):
		return 1
	case math.IsInf(times, 1):
		return times
	}
	return min(max(times, speedLeast), speedMost)
}

// Latest is the newest Snapshot; before the first input everything in it is
// unknown.
func (r *Replay) Latest() monitor.Snapshot { return r.feed.latest() }

// Notify receives after there is a newer Snapshot; it is for one receiver.
func (r *Replay) Notify() <-chan struct{} { return r.feed.notice }

// Entry refuses.
func (r *Replay) Entry(wire.Entry) error { return ErrReplay }

// Pause stops the time, or lets it go on.
func (r *Replay) Pause(on bool) { r.turn(func() { r.pos.Paused, r.steps, r.seeks = on, 0, false }) }

// Speed sets how many times faster than real time it goes.
func (r *Replay) Speed(times float64) { r.turn(func() { r.pos.Speed = boundSpeed(times) }) }

// Step lets one input through while paused.
func (r *Replay) Step() {
	r.turn(func() {
		if r.pos.Paused && r.steps < 1000 {
			r.steps++
		}
	})
}

// Next goes on as fast as it goes to the next event, then as before: playing or
// paused. Pause ends the search.
func (r *Replay) Next() { r.turn(func() { r.seeks = true }) }

// Position is where the replay stands.
func (r *Replay) Position() Position {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.pos
}

// turn changes the pace and wakes whoever waits by it.
func (r *Replay) turn(change func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	change()
	close(r.turned)
	r.turned = make(chan struct{})
}

// Run replays to the end of the recording (nil), the end of ctx (its error) or
// the first error of Source, Begin or Seen.
func (r *Replay) Run(ctx context.Context) error {
	defer func() {
		r.mu.Lock()
		r.pos.Ended = true
		r.mu.Unlock()
		r.feed.announce()
	}()
	stepper, err := r.cfg.Begin()
	if err != nil {
		return err
	}
	pace := pacer{r: r}
	var snap monitor.Snapshot
	for first := true; ctx.Err() == nil; first = false {
		f, err := r.cfg.Source.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if f.Type == wire.TypeLogStart && !first {
			if stepper, err = r.cfg.Begin(); err != nil {
				return err
			}
			pace.tied, pace.lastS = false, 0 // session time starts again
		}
		snap = stepper.Step(f)
		if err := pace.wait(ctx, snap.TimeS); err != nil {
			return err
		}
		if err := r.show(f, &snap); err != nil {
			return err
		}
	}
	return ctx.Err()
}

func (r *Replay) show(f wire.Frame, s *monitor.Snapshot) error {
	r.mu.Lock()
	r.pos.TimeS = s.TimeS
	if s.EventCount != r.events {
		r.events, r.seeks = s.EventCount, false
	}
	r.mu.Unlock()
	r.feed.put(s)
	if r.cfg.Seen == nil {
		return nil
	}
	return r.cfg.Seen(f, s)
}

// pacer ties session time to the clock.
type pacer struct {
	r     *Replay
	tied  bool
	fromS float64 // session time …
	from  time.Time
	speed float64 // … at this moment, and how fast it goes from there
	lastS float64
}

// wait returns when session time timeS is due.
func (p *pacer) wait(ctx context.Context, timeS float64) error {
	for {
		left, turned := p.due(timeS)
		if left <= 0 {
			p.lastS = timeS
			return ctx.Err()
		}
		if err := pause(ctx, left, turned); err != nil {
			return err
		}
	}
}

// forEver is the wait of a paused replay: until something changes.
const forEver = time.Hour

// due is how long to wait for timeS, and what wakes before that.
func (p *pacer) due(timeS float64) (time.Duration, <-chan struct{}) {
	p.r.mu.Lock()
	defer p.r.mu.Unlock()
	pos := &p.r.pos
	switch {
	case p.r.seeks:
		p.tied = false
		return 0, nil
	case pos.Paused && p.r.steps > 0:
		p.r.steps--
		p.tied = false
		return 0, nil
	case pos.Paused:
		p.tied = false
		return forEver, p.r.turned
	case math.IsInf(pos.Speed, 1):
		p.tied = false
		return 0, nil
	}
	now := p.r.cfg.Clock.Now()
	if !p.tied || p.speed != pos.Speed {
		p.tied, p.fromS, p.from, p.speed = true, p.lastS, now, pos.Speed
	}
	leftS := (timeS-p.fromS)/p.speed - now.Sub(p.from).Seconds()
	return time.Duration(math.Min(leftS, forEver.Seconds()) * float64(time.Second)), p.r.turned
}

func pause(ctx context.Context, d time.Duration, turned <-chan struct{}) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
	case <-turned:
	}
	return nil
}

// WithoutSurface is src without the hand-held surface readings, as if none had
// been taken.
func WithoutSurface(src recording.Source) recording.Source { return withoutSurface{src} }

type withoutSurface struct{ src recording.Source }

// Next implements recording.Source.
func (w withoutSurface) Next() (wire.Frame, error) {
	for {
		f, err := w.src.Next()
		if err != nil || f.Type != wire.TypeEntry {
			return f, err
		}
		var e wire.Entry
		if wire.ParseEntry(f.Body, &e) != nil || (e.Kind != wire.EntrySurface && e.Kind != wire.EntryUndo) {
			return f, nil
		}
	}
}
