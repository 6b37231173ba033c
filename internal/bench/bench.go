// Package bench runs a calibration: it takes a logger's frames, live or from a
// recording, to package bath, and puts what was found into the offsets file.
package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"sync"
	"time"

	"fillwright/internal/bath"
	"fillwright/internal/card"
	"fillwright/internal/logger"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Cable is where the logger's bytes come from; *logger.Logger is one.
type Cable interface {
	Events() <-chan logger.Event
	Err() error
	Close() error
}

// Decoder finds frames in the logger's bytes; *logger.Auto is one.
type Decoder interface {
	Decode(p []byte, yield func(wire.Frame))
	Interrupted()
	Complaint() string
}

// Source yields the frames of a recording; *runlog.Reader is one.
type Source interface {
	Next() (wire.Frame, error)
}

// Config is what a Bench is made of. Profile, Card and either Cable with its
// Decoder or Source are required.
type Config struct {
	Profile  *vessel.Profile
	Card     *card.Card
	Cable    Cable
	Decoder  Decoder
	Source   Source
	Way      bath.Way
	Ask      Asked // what was given of the reference
	Beside   int   // channel of the thermometer beside, −1 none
	Channels []int // nil: all
	Limits   bath.Limits
	Second   bool   // join with the point in the file: offset and gain
	Pretence string // what to write in front of every remark: the demo's mark
	Now      func() time.Time
}

// View is what a screen shows of a Bench. It is a value; its slices are not
// changed after.
type View struct {
	Vessel     string
	Way        bath.Way
	Limits     bath.Limits
	Reference  string // in words; empty while it is not known
	Asks       bool   // the reference is to be typed
	Probes     []bath.Probe
	Results    []bath.Result // when Done
	Done       bool
	Ended      bool // a recording has ended
	ElapsedS   float64
	Board      uint64
	BoardKnown bool
	Link       string // the newest word about the cable, empty for none
	File       string
	Written    string // what was written, empty: nothing yet
	Second     bool
}

// Bench is one calibration on its way. Create it with New, then Run it once;
// the other methods may be called meanwhile from other goroutines.
type Bench struct {
	cfg    Config
	mu     sync.Mutex
	bank   *probe.Bank
	bath   *bath.Bath
	clock  clock
	view   View
	notify chan struct{}
}

// New checks cfg and makes a Bench.
func New(cfg Config) (*Bench, error) {
	if cfg.Profile == nil || cfg.Card == nil || (cfg.Cable == nil) == (cfg.Source == nil) || cfg.Cable != nil && cfg.Decoder == nil {
		return nil, errors.New("bench: a profile, a card, and a cable with its decoder or a source are required")
	}
	if cfg.Beside >= 0 && cfg.Way != bath.WayShade {
		return nil, fmt.Errorf("a thermometer beside the probes goes with the way shade only, and the way is %s", cfg.Way)
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	b := &Bench{cfg: cfg, notify: make(chan struct{}, 1)}
	b.bank = probe.NewBank(cfg.Profile, coldOnly(cfg.Profile, cfg.Card.Offsets))
	b.view = View{Vessel: cfg.Profile.Name, File: cfg.Card.File}
	return b, b.restart(cfg.Way, cfg.Ask)
}

// coldOnly is the cold junction's offsets: thermocouples are found against it
// as they will be read.
func coldOnly(p *vessel.Profile, all *probe.Offsets) *probe.Offsets {
	out := &probe.Offsets{}
	cold, ok := p.ChannelOf(vessel.RoleColdJunction)
	for _, o := range all.List {
		if ok && o.Channel == cold.Index {
			out.List = append(out.List, o)
		}
	}
	return out
}

// restart begins anew in a way.
func (b *Bench) restart(w bath.Way, ask Asked) error {
	ref, err := ask.reference(w)
	if err != nil {
		return err
	}
	cfg := bath.Config{Profile: b.cfg.Profile, Way: w, Reference: ref, Beside: b.cfg.Beside, Channels: b.cfg.Channels, Limits: b.cfg.Limits}
	if w != bath.WayShade {
		cfg.Beside = -1
	}
	if w.Pressure() {
		cfg.Channels, cfg.Limits = nil, bath.Limits{}
	}
	fresh, err := bath.New(cfg)
	if err != nil {
		return err
	}
	b.bath = fresh
	b.view.Written = ""
	b.refresh()
	return nil
}

// Again begins anew, in the same or another way. What was typed of the
// reference is forgotten with another way.
func (b *Bench) Again(w bath.Way) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	ask := Asked{Accuracy: b.cfg.Ask.Accuracy}
	if w == b.bath.Way() {
		ask = b.cfg.Ask
	}
	return b.restart(w, ask)
}

// Refer takes what was typed of the reference.
func (b *Bench) Refer(text string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	ask := b.cfg.Ask
	ask.Reference = text
	ref, err := ask.reference(b.bath.Way())
	if err != nil {
		return err
	}
	if err := b.bath.Refer(ref); err != nil {
		return err
	}
	b.cfg.Ask = ask
	b.refresh()
	return nil
}

// Latest is how it stands.
func (b *Bench) Latest() View {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.view
}

// Notify receives after there is a newer View; many in a row count as one.
func (b *Bench) Notify() <-chan struct{} { return b.notify }

// refresh draws the View up. The caller holds mu.
func (b *Bench) refresh() {
	v := &b.view
	v.Way, v.Limits, v.Asks, v.Reference = b.bath.Way(), b.bath.Limits(), b.bath.Asks(), ""
	if !v.Asks {
		v.Reference = b.bath.Reference().Text
		if b.cfg.Beside >= 0 && v.Way == bath.WayShade {
			v.Reference = fmt.Sprintf("the thermometer on channel %d", b.cfg.Beside)
		}
	}
	v.Probes = b.bath.Probes()
	for i := range v.Probes {
		v.Probes[i].Trace = append([]float64(nil), v.Probes[i].Trace...)
	}
	v.ElapsedS, v.Second = b.bath.ElapsedS(), b.cfg.Second && !v.Way.Pressure()
	v.Results, v.Done = nil, b.bath.Done() || v.Ended
	if v.Done {
		v.Results = b.bath.Results(b.cfg.Card.Offsets, v.Board)
	}
	select {
	case b.notify <- struct{}{}:
	default:
	}
}

// Run takes frames until ctx ends, the cable does, or a recording has shown
// enough. The end of ctx and of a recording is no error.
func (b *Bench) Run(ctx context.Context) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("internal failure in the calibration: %v\n%s", r, debug.Stack())
		}
	}()
	if b.cfg.Source != nil {
		return b.replay(ctx)
	}
	defer func() { err = errors.Join(err, b.cfg.Cable.Close()) }()
	for {
		select {
		case <-ctx.Done():
			return nil
		case ev, ok := <-b.cfg.Cable.Events():
			if !ok {
				b.end()
				return b.cfg.Cable.Err()
			}
			b.event(ev)
		}
	}
}

// replay runs a recording until every sensor is done, or to its end.
func (b *Bench) replay(ctx context.Context) error {
	for ctx.Err() == nil && !b.Latest().Done {
		f, err := b.cfg.Source.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		b.mu.Lock()
		b.frame(f)
		b.mu.Unlock()
	}
	b.end()
	return nil
}

func (b *Bench) end() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.view.Ended = true
	b.refresh()
}

func (b *Bench) event(ev logger.Event) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev.Kind {
	case logger.Bytes:
		b.cfg.Decoder.Decode(ev.Data, b.frame)
		if c := b.cfg.Decoder.Complaint(); c != "" {
			b.view.Link = c
		}
	case logger.Up, logger.Down:
		b.cfg.Decoder.Interrupted()
		b.view.Link = ""
		if ev.Kind == logger.Down {
			b.view.Link = ev.Text
		}
		b.refresh()
	case logger.Trouble:
		b.view.Link = ev.Text
		b.refresh()
	}
}

// frame takes one frame in. The caller holds mu.
func (b *Bench) frame(f wire.Frame) {
	switch f.Type {
	case wire.TypeHello:
		var h wire.Hello
		if wire.ParseHello(f.Body, &h) != nil {
			return
		}
		b.clock.hello(&h)
		b.view.Board, b.view.BoardKnown = h.Board, true
		for _, err := range b.bank.Hello(&h) {
			b.view.Link = err.Error()
		}
	case wire.TypeFault:
		var v wire.Fault
		if wire.ParseFault(f.Body, &v) == nil {
			b.bank.Fault(&v)
		}
	case wire.TypeSample:
		var s wire.Sample
		if wire.ParseSample(f.Body, &s) != nil {
			return
		}
		timeS, fresh := b.clock.sample(s.TimeMS)
		if !fresh {
			return
		}
		b.bank.Sample(&s, timeS)
		b.bath.Take(b.bank.Readings(), timeS)
		if timeS-b.clock.shownS >= showEveryS || b.bath.Done() != b.view.Done {
			b.clock.shownS = timeS
			b.refresh()
		}
	}
}

// showEveryS is how often the View is renewed, in session time.
const showEveryS = 0.25
