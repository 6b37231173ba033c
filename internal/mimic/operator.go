package mimic

import (
	"math"

	"fillwright/internal/advise"
)

// View is what the pretended operator sees: a clock and a gauge. The truth is
// hidden from him as from a real one.
type View struct {
	TimeS      float64
	PressurePa float64 // gauge
}

// Operator has the valve in hand.
type Operator interface {
	Command(v View) Valve
}

// Adviser gives the newest advice. It is called at every step and must not
// block.
type Adviser func() advise.Advice

// Segment is a part of a plan. A zero is filled in from the vessel's profile:
// the ramp by ramp_most, the pressure to fill to by the target, the time of a
// Shut segment by the planned hold.
type Segment struct {
	Do      Action
	RampPaS float64 // of Fill and Vent
	ToPa    float64 // gauge pressure at which Fill and Vent are done
	ForS    float64 // of Shut and Open; the longest time of Fill and Vent
}

const (
	segmentMostS = 1800 // an endless fill or vent is given up
	ventedPa     = 2e3  // so near to ambient counts as vented
)

// Planned carries out a plan and listens to nobody.
type Planned struct {
	Plan  []Segment
	index int
	since float64
	begun bool
}

// Command implements Operator.
func (o *Planned) Command(v View) Valve {
	if !o.begun {
		o.begun, o.since = true, v.TimeS
	}
	for o.index < len(o.Plan) && o.Plan[o.index].done(v, o.since) {
		o.next(v)
	}
	if o.index >= len(o.Plan) {
		if v.PressurePa < ventedPa {
			return Valve{Action: Open}
		}
		return Valve{Action: Shut}
	}
	seg := &o.Plan[o.index]
	return Valve{Action: seg.Do, RampPaS: seg.RampPaS}
}

// next goes on to the next segment.
func (o *Planned) next(v View) {
	o.index++
	o.since = v.TimeS
}

// present is the segment that is being carried out, nil after the last.
func (o *Planned) present() *Segment {
	if o.index >= len(o.Plan) {
		return nil
	}
	return &o.Plan[o.index]
}

func (s *Segment) done(v View, since float64) bool {
	most := s.ForS
	switch s.Do {
	case Fill, Vent:
		if most <= 0 {
			most = segmentMostS
		}
		if s.Do == Fill && v.PressurePa >= s.ToPa {
			return true
		}
		if s.Do == Vent && v.PressurePa <= max(s.ToPa, ventedPa) {
			return true
		}
	}
	return v.TimeS-since >= most
}

// Following carries out a plan as far as the advice allows, with a person's
// delay between hearing and turning the valve. Without advice it does not
// fill.
type Following struct {
	Planned
	Adviser Adviser
	DelayS  float64 // default 2 s
	heard   []heard // oldest first; at most heardMost
	acting  advise.Advice
	stopped float64 // time of the last stop, −Inf never
	started bool
}

type heard struct {
	atS float64
	a   advise.Advice
}

const (
	heardMost    = 256
	reactionS    = 2.0
	ventFastPaS  = 10e5 / 60 // ramp of a vent that the advice asks for
	afterStopS   = 30.0      // how long a stop stays a stop before a top-up
	rampNoticed  = 0.03      // a smaller change of the ramp is not acted on
	targetNearPa = 0.3e5     // a top-up is not begun this near to the target
)

// Command implements Operator.
func (o *Following) Command(v View) Valve {
	if !o.started {
		o.started, o.stopped = true, math.Inf(-1)
	}
	o.listen(v.TimeS)
	plan := o.Planned.Command(v)
	seg := o.present()
	if o.acting.Verdict == advise.VerdictVent && v.PressurePa > ventedPa {
		o.stopped = v.TimeS
		return Valve{Action: Vent, RampPaS: ventFastPaS}
	}
	if o.acting.Verdict == advise.VerdictStop {
		o.stopped = v.TimeS
		if seg != nil && seg.Do == Fill {
			o.next(v) // an aborted fill is over; what follows is the hold
		}
	}
	if seg == nil || seg.Do == Vent || seg.Do == Open {
		return plan
	}
	return o.fillOrHold(v, seg)
}

// fillOrHold is the command in a Fill or Shut segment.
func (o *Following) fillOrHold(v View, seg *Segment) Valve {
	shut := Valve{Action: Shut}
	ramp := o.acting.RampPaS
	if v.TimeS-o.stopped < afterStopS || !(ramp > 0) {
		return shut
	}
	switch o.acting.Verdict {
	case advise.VerdictReady, advise.VerdictFill, advise.VerdictEase:
		if seg.Do == Fill {
			return Valve{Action: Fill, RampPaS: ramp}
		}
	case advise.VerdictTopUp:
		if seg.Do == Fill || v.PressurePa < o.targetPa()-targetNearPa {
			return Valve{Action: Fill, RampPaS: ramp}
		}
	}
	return shut
}

// targetPa is the highest pressure that the plan fills to.
func (o *Following) targetPa() float64 {
	most := 0.0
	for _, s := range o.Plan {
		if s.Do == Fill {
			most = max(most, s.ToPa)
		}
	}
	return most
}

// listen hears the newest advice and takes up what was heard long enough ago.
func (o *Following) listen(nowS float64) {
	delay := o.DelayS
	if delay <= 0 {
		delay = reactionS
	}
	if o.Adviser != nil {
		a := o.Adviser()
		last := o.acting
		if n := len(o.heard); n > 0 {
			last = o.heard[n-1].a
		}
		changed := a.Verdict != last.Verdict || !(math.Abs(a.RampPaS-last.RampPaS) <= rampNoticed*last.RampPaS)
		if changed && len(o.heard) < heardMost {
			o.heard = append(o.heard, heard{nowS, a})
		}
	}
	for len(o.heard) > 0 && o.heard[0].atS+delay <= nowS {
		o.acting = o.heard[0].a
		o.heard = append(o.heard[:0], o.heard[1:]...)
	}
}
