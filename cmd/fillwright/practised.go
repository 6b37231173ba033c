package main

import (
	"context"
	"fmt"
	"sync/atomic"

	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/practice"
	"fillwright/internal/quantity"
	handscreen "fillwright/internal/screen/hand"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// practised is a fill that a person practises: the hand on the pretended valves
// and the account of what was true.
type practised struct {
	hand    *mimic.Hand
	account *practice.Account
	device  atomic.Pointer[mimic.Device] // nil: not there yet
}

func newPractised(v *vessel.Profile) *practised {
	return &practised{hand: mimic.NewHand(), account: practice.New(v)}
}

// see holds a Snapshot against the truth of the moment.
func (p *practised) see(_ wire.Type, s *monitor.Snapshot) {
	if d := p.device.Load(); d != nil {
		p.account.See(d.State(), s)
	}
}

// atValve shows the person at the valve keys and gauge, on a machine of its own.
func (p *practised) atValve(d *mimic.Device, scene, at, units string) func(context.Context) error {
	return func(ctx context.Context) error {
		u, err := quantity.ParseSystem(units)
		if err != nil {
			return err
		}
		return handscreen.Run(ctx, handscreen.Options{Valves: p.hand, Scene: scene, At: at, Units: u, Gauge: func() (float64, float64) {
			r := d.State()
			return r.TimeS, r.PressurePa
		}})
	}
}

// account prints what was true, when the screen is gone.
func (t *terminal) account(p *practised, u quantity.System) {
	for _, line := range p.account.Text(u) {
		// A terminal that is gone reads no account.
		_, _ = fmt.Fprintln(t.out, line)
	}
}
