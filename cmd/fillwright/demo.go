package main

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"

	"fillwright/internal/advise"
	"fillwright/internal/logger"
	"fillwright/internal/mimic"
	"fillwright/internal/mimic/port"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// demonstration is an invented fill behind a real pseudo-terminal, or where the
// system has none, behind a real TCP connection.
type demonstration struct {
	at      port.Place
	cancel  context.CancelFunc
	wait    func() error
	session atomic.Pointer[live]
}

// demoName and demoMark say on the screen, in the lines and in a log what this
// is. The screen has room for ten letters of a name.
const (
	demoName = "INVENTED"
	demoMark = "an invented demonstration: no vessel and no logger are connected"
)

// demoProfile makes the demo's vessel the one that is watched.
func (o *watchFlags) demoProfile() (err error) {
	o.texts.Profile = strings.Replace(vessel.Example(), `name = "Plover"`, `name = "`+demoName+`"`, 1)
	o.profile, err = vessel.Parse("the demo's vessel", []byte(o.texts.Profile))
	return err
}

// startDemo starts the mimic. It takes longer than a first picture may.
func (o *watchFlags) startDemo(ctx context.Context, scene mimic.Scene) (*demonstration, error) {
	d := &demonstration{}
	opt := mimic.Options{Seed: 1, Adviser: d.advice, Follow: o.follow, Speed: o.speed, WaitForHost: true}
	if o.practised != nil {
		opt.Operator = o.practised.Hand
	}
	device, err := mimic.NewDevice(o.profile, scene, opt)
	if err != nil {
		return nil, err
	}
	if o.practised != nil {
		o.practised.device.Store(device)
	}
	ctx, d.cancel = context.WithCancel(ctx)
	if d.at, d.wait, err = port.Here(ctx, device); err != nil {
		d.cancel()
		return nil, err
	}
	return d, nil
}

// openDemo starts the mimic and opens it as any other logger. The demo's operator
// hears the session's advice, and the session is marked as what it is.
func (t *terminal) openDemo(ctx context.Context, o *watchFlags, scene mimic.Scene, decoder *logger.Auto) (*live, error) {
	d, err := o.startDemo(ctx, scene)
	if err != nil {
		return nil, err
	}
	s, err := t.openSession(ctx, o, d, decoder)
	if err != nil {
		return nil, errors.Join(err, d.stop())
	}
	d.session.Store(s)
	return s, s.Entry(wire.Entry{Kind: wire.EntryMark, Text: demoMark})
}

// advice is the newest; without a session there is none, so nothing is filled.
func (d *demonstration) advice() advise.Advice {
	if s := d.session.Load(); s != nil {
		return s.Latest().Advice
	}
	a, _ := advise.Unknown(wording.NoSession)
	return a
}

// stop ends the mimic.
func (d *demonstration) stop() error {
	d.cancel()
	return ended(d.wait())
}

// openerAt opens a pretended logger on this machine as any other.
func openerAt(at port.Place, baud int) logger.Opener {
	if at.Address != "" {
		return logger.TCP{Address: at.Address}
	}
	return logger.NewSerial(at.Path, baud)
}
