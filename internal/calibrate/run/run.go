// Package run runs a calibration: it takes a logger's frames, live or from a
// recording, to package calibrate, and puts what was found into the offsets
// file.
package run

import (
	"context"
	"errors"
	"io"
	"sync"
	"time"

	"fillwright/internal/calibrate"
	"fillwright/internal/logger"
	"fillwright/internal/offsets"
	"fillwright/internal/probe"
	"fillwright/internal/recording"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Config is what a Run is made of. File and either Cable with its Decoder or
// Source are required, beside what calibrate.New wants.
type Config struct {
	calibrate.Config
	File     *offsets.File
	Cable    session.Cable
	Decoder  session.Decoder
	Source   recording.Source
	Second   bool   // join with the point in the file: offset and gain
	Pretence string // what to write in front of every remark: the demo's mark
	Now      func() time.Time
}

// View is what a screen shows of a Run. It is a value; its slices are not
// changed after.
type View struct {
	Vessel     string
	Method     calibrate.Method
	Limits     calibrate.Limits
	Reference  string // in words; empty while it is not known
	Asks       bool   // the reference is to be typed
	Probes     []calibrate.Probe
	Results    []calibrate.Result // when Done
	Done       bool
	Ended      bool // a recording has ended
	ElapsedS   float64
	Board      uint64
	BoardKnown bool
	Link       string // the newest word about the cable, empty for none
	Written    string // what was written, empty: nothing yet
	Second     bool
}

// Run is one calibration on its way. Create it with New, then call Run once;
// the other methods may be called meanwhile from other goroutines.
type Run struct {
	cfg    Config
	notify chan struct{}

	mu     sync.Mutex
	play   recording.Playback
	cal    *calibrate.Calibration
	shownS float64
	view   View
}

// New checks cfg and makes a Run.
func New(cfg Config) (*Run, error) {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	r := &Run{cfg: cfg, notify: make(chan struct{}, 1), view: View{Vessel: cfg.Profile.Name}}
	// Thermocouples are found against the cold junction as they will be read.
	only := &probe.Offsets{}
	cold, ok := cfg.Profile.ChannelOf(vessel.RoleColdJunction)
	for _, o := range cfg.File.Offsets.List {
		if ok && o.Channel == cold.Index {
			only.List = append(only.List, o)
		}
	}
	r.play.Bank = probe.NewBank(cfg.Profile, only)
	return r, r.begin(cfg.Method)
}

// begin begins anew with a method. What was typed of the reference is forgotten
// with another one.
func (r *Run) begin(m calibrate.Method) error {
	c := r.cfg.Config
	if m != c.Method {
		c.Method, c.Typed.Value = m, ""
	}
	fresh, err := calibrate.New(c)
	if err != nil {
		return err
	}
	r.cfg.Config, r.cal, r.view.Written = c, fresh, ""
	r.refresh()
	return nil
}

// Again begins anew, with the same or another method.
func (r *Run) Again(m calibrate.Method) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.begin(m)
}

// Refer takes what was typed of the reference.
func (r *Run) Refer(text string) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	typed := calibrate.Typed{Value: text, Accuracy: r.cfg.Typed.Accuracy}
	if err := r.cal.Refer(typed); err != nil {
		return err
	}
	r.cfg.Typed = typed
	r.refresh()
	return nil
}

// Latest is how it stands.
func (r *Run) Latest() View {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.view
}

// Notify receives after there is a newer View; many in a row count as one.
func (r *Run) Notify() <-chan struct{} { return r.notify }

// refresh draws the View up. The caller holds mu.
func (r *Run) refresh() {
	v := &r.view
	v.Method, v.Limits, v.Asks, v.Reference = r.cal.Method(), r.cal.Limits(), r.cal.Asks(), r.cal.Reference()
	v.Probes, v.ElapsedS, v.Second = r.cal.Probes(), r.cal.ElapsedS(), r.cfg.Second && !v.Method.Pressure()
	v.Results, v.Done = nil, r.cal.Done() || v.Ended
	if v.Done {
		v.Results = r.cal.Results(r.cfg.File.Offsets, v.Board)
	}
	select {
	case r.notify <- struct{}{}:
	default:
	}
}

// Run takes frames until ctx ends, the cable does, or a recording has shown
// enough. The end of ctx and of a recording is no error.
func (r *Run) Run(ctx context.Context) (err error) {
	if r.cfg.Source != nil {
		return r.replay(ctx)
	}
	defer func() { err = errors.Join(err, r.cfg.Cable.Close()) }()
	for {
		select {
		case <-ctx.Done():
			return nil
		case ev, ok := <-r.cfg.Cable.Events():
			if !ok {
				r.end()
				return r.cfg.Cable.Err()
			}
			r.event(ev)
		}
	}
}

// replay runs a recording until every sensor is done, or to its end.
func (r *Run) replay(ctx context.Context) error {
	defer r.end()
	for ctx.Err() == nil && !r.Latest().Done {
		f, err := r.cfg.Source.Next()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		}
		r.step(f)
	}
	return nil
}

func (r *Run) step(f wire.Frame) {
	r.mu.Lock()
	defer r.mu.Unlock() // in a panic too
	r.frame(f)
}

func (r *Run) end() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.view.Ended = true
	r.refresh()
}

func (r *Run) event(ev logger.Event) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch ev.Kind {
	case logger.Bytes:
		r.cfg.Decoder.Decode(ev.Data, r.frame)
		if c := r.cfg.Decoder.Complaint(); c != "" {
			r.view.Link = c
		}
		return
	case logger.Up, logger.Down:
		r.cfg.Decoder.Interrupted()
	}
	r.view.Link = ""
	if ev.Kind != logger.Up {
		r.view.Link = ev.Text
	}
	r.refresh()
}

// frame takes one frame in. The caller holds mu.
func (r *Run) frame(f wire.Frame) {
	switch h := r.play.Step(f); {
	case h.Type == wire.TypeHello:
		r.view.Board, r.view.BoardKnown = r.play.Hello.Board, true
		for _, err := range h.Problems {
			r.view.Link = err.Error()
		}
	case h.Fresh:
		r.cal.Add(r.play.Bank.Readings(), h.TimeS)
		if h.TimeS-r.shownS >= showEveryS || r.cal.Done() != r.view.Done {
			r.shownS = h.TimeS
			r.refresh()
		}
	}
}

// showEveryS is how often the View is renewed, in session time.
const showEveryS = 0.25
