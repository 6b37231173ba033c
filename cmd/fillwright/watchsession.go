package main

import (
	"context"
	"errors"
	"strings"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/runlog"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// live is a session with the observer that sees each of its Snapshots.
type live struct {
	*session.Session
	observer *observer
	recorded bool
	demo     *demonstration // nil: a real logger
	abort    *onAbort       // nil: no command was given
}

// run watches until ctx ends, and ends the demo with it.
func (s *live) run(ctx context.Context) error {
	err := s.Run(ctx)
	if s.abort != nil {
		s.abort.close()
	}
	if s.demo != nil {
		err = errors.Join(err, s.demo.stop())
	}
	return err
}

// openSession opens cable and log and puts the session together. The cable is
// first: a port that is not there leaves no empty log behind.
func (t *terminal) openSession(ctx context.Context, o *watchFlags, demo *demonstration, decoder *logger.Auto) (*live, error) {
	opener := o.opener()
	if demo != nil {
		opener = openerAt(demo.at, o.baud)
	}
	cable, err := logger.Open(ctx, logger.Config{Opener: opener, Hello: wire.AppendAskHello(nil, 0)})
	if err != nil {
		return nil, err
	}
	start := wire.LogStart{UnixMS: time.Now().UnixMilli(), App: wire.MakeLabel(release)}
	log, err := t.openLog(o, start)
	if err != nil {
		return nil, errors.Join(err, cable.Close())
	}
	w := &live{demo: demo, observer: &observer{Stepper: monitor.New(monitor.Config{Profile: o.profile, Offsets: o.offsets, Model: o.model})}}
	cfg := session.Config{
		Cable: cable, Decoder: decoder, Stepper: w.observer, Start: start, Speed: o.speed,
		Texts: o.texts,
	}
	if log != nil {
		cfg.Log, cfg.StartLogged, w.recorded = log, true, true
	}
	if w.Session, err = session.New(cfg); err == nil {
		err = o.plan.begin(w)
	}
	if err != nil {
		err = errors.Join(err, cable.Close())
		if log != nil {
			err = errors.Join(err, log.Close())
		}
		return nil, err
	}
	o.listen(w)
	return w, nil
}

// listen lets those see each Snapshot who need them all.
func (o *watchFlags) listen(w *live) {
	if o.practised != nil {
		w.observer.seen = append(w.observer.seen, o.practised.see)
	}
	if o.trail != nil {
		w.observer.seen = append(w.observer.seen, func(_ wire.Type, s *monitor.Snapshot) { o.trail.Add(s) })
	}
	if o.onAbort == "" {
		return
	}
	w.abort = newOnAbort(o.onAbort, func(text string) {
		text = strings.ToValidUTF8(text[:min(len(text), wire.EntryTextMost)], "")
		if w.Entry(wire.Entry{Kind: wire.EntryMark, Text: text}) != nil {
			o.late.Store(&text) // the watching has ended: told when the screen is gone
		}
	})
	w.observer.seen = append(w.observer.seen, w.abort.see)
}

// openLog opens the run log: the one that was named, one named by the time for
// a real logger, none for the demo.
func (t *terminal) openLog(o *watchFlags, start wire.LogStart) (*runlog.Writer, error) {
	name := o.log
	switch {
	case name == "" && (o.demo || o.noLog):
		return nil, nil
	case name == "":
		name = "fillwright-" + time.UnixMilli(start.UnixMS).Format("20060102-150405") + ".fill"
		t.note("recording into %s (another name: --log FILE; nothing: --no-log)", name)
	}
	log, err := runlog.OpenWriter(name, start)
	if err != nil {
		return nil, err
	}
	switch at := log.Opened(); {
	case at.Cut > 0:
		t.note("%s ended in the middle of a frame; its last %d bytes were moved to %s, and recording goes on behind it", name, at.Cut, at.TornFile)
	case at.Appended:
		t.note("%s is there already; recording goes on behind what it holds", name)
	}
	if why := log.Opened().Unlocked; why != "" {
		t.note("%s could not be locked against a second program (%s); let no other write to it", name, why)
	}
	return log, nil
}
