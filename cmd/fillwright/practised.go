package main

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"

	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/practice"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/valve"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// practised is a fill that a person practises: the hand on the pretended valves,
// a pretended thermometer, and the account of what was true.
type practised struct {
	*mimic.Hand
	account *practice.Account
	device  atomic.Pointer[mimic.Device] // nil: not there yet
}

func newPractised(v *vessel.Profile) *practised {
	return &practised{Hand: mimic.NewHand(), account: practice.New(v)}
}

// Touch implements screen.Valves: the true skin, to a tenth of a degree.
func (p *practised) Touch(station int) float64 {
	d := p.device.Load()
	if d == nil {
		return math.NaN()
	}
	if r := d.State(); station < len(r.Stations) {
		return math.Round(r.Stations[station].OuterK*10) / 10
	}
	return math.NaN()
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
		return valve.Run(ctx, valve.Options{Valves: p, Scene: scene, At: at, Units: u, Gauge: func() valve.Dials {
			r := d.State()
			dials := valve.Dials{TimeS: r.TimeS, PressurePa: r.PressurePa}
			for i, s := range r.Stations {
				dials.Skins = append(dials.Skins, valve.Skin{Station: s.Name, K: p.Touch(i)})
			}
			return dials
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
