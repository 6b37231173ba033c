// Package mimic pretends a vessel on a pad, an operator at its valve and a
// logger that watches it, for demonstration, training and tests.
//
// The pretended vessel is no measurement and proves nothing about a real one.
// Its physics stand apart from the estimator's on purpose: another gas law
// (virial instead of Helmholtz), many more wall cells in a curved wall,
// stations all around, stratified gas, radiation to the fourth power, gusts
// and clouds, a supply that cools, sensors with faults of their own. So a good
// estimate of it is not the estimator's own model met again.
//
// Truth is the vessel, Scene a fill of it, Simulator runs it, Device speaks
// the wire protocol about it, and Record and package port carry that to
// a file or to hosts. Everything is deterministic for a seed; only Serve and
// Run look at a clock.
//
// Inside, pressures are absolute unless the name says gauge; at the package's
// edge (Row, View, Valve, Segment) they are gauge.
package mimic

import (
	"fmt"

	"fillwright/internal/vessel"
)

// Options of a run. The zero value is good: seed 0, the vessel as its profile
// says, an operator who listens to nobody, 20 samples a second, no mishaps on
// the cable.
type Options struct {
	Seed    uint64
	Truth   *Truth  // the vessel as it really is; nil: NewTruth of the profile
	Adviser Adviser // newest advice; goes into the truth file
	Follow  bool    // the operator follows Adviser
	// Operator replaces the scene's plan altogether.
	Operator  Operator
	RateHz    float64 // nominal sample rate; 0: 20
	ForS      float64 // how long Record runs; 0: as long as the scene
	RowEveryS float64 // time between truth rows of Record; 0: 0.5 s
	Cable     Cable
	Board     uint64 // the board's number; 0: made from Seed
	// Speed is how many times faster than real time Run goes; 0: 1.
	Speed float64
	// WaitForHost lets Run start the vessel's time when the first host comes.
	WaitForHost bool
}

// The rates that a pretended logger can do.
const (
	rateLeastHz   = 0.1
	rateMostHz    = 200
	rateDefaultHz = 20
	speedMost     = 1000
)

// operator is who has the valve in hand.
func (s *Scene) operatorFor(p *vessel.Profile, o *Options) Operator {
	if o.Operator != nil {
		return o.Operator
	}
	plan := Planned{Plan: s.planFor(p)}
	if o.Follow {
		return &Following{Planned: plan, Adviser: o.Adviser}
	}
	return &plan
}

// check refuses what makes no sense and fills in defaults.
func (o *Options) check() error {
	if o.RateHz == 0 {
		o.RateHz = rateDefaultHz
	}
	if !(o.RateHz >= rateLeastHz && o.RateHz <= rateMostHz) {
		return fmt.Errorf("mimic: sample rate %g Hz is outside %g to %d Hz; try 20", o.RateHz, rateLeastHz, rateMostHz)
	}
	if o.Speed == 0 {
		o.Speed = 1
	}
	if !(o.Speed > 0 && o.Speed <= speedMost) {
		return fmt.Errorf("mimic: speed %g is outside 0 to %d times real time; try 1 or 10", o.Speed, speedMost)
	}
	if o.RowEveryS <= 0 {
		o.RowEveryS = 0.5
	}
	if o.Follow && o.Adviser == nil && o.Operator == nil {
		return fmt.Errorf("mimic: the operator shall follow the advice, but no adviser was given")
	}
	if o.Board == 0 {
		o.Board = stream(o.Seed, streamBoard).Uint64() | 1
	}
	return o.Cable.check()
}
