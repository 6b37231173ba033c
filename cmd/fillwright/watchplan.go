package main

import (
	"errors"
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/plan"
	"fillwright/internal/screen"
	"fillwright/internal/wire"
)

// fromPlan is what a watch takes over from a plan: the model that knows the day's
// sun, the target, and what stands beside on the screen.
type fromPlan struct {
	targetPa float64
	screen   screen.Planned
}

// takePlan reads the plan that --plan names and puts its day into the model. The
// model goes into the log as it is used, so that a replay has it.
func (o *watchFlags) takePlan() error {
	if o.planFile == "" {
		return nil
	}
	text, err := read(o.planFile, "make one: fillwright plan --vessel vessel.toml --out day.toml")
	if err != nil {
		return err
	}
	kept, err := plan.ParseKept(o.planFile, []byte(text))
	if err != nil {
		return err
	}
	if err := kept.CheckOn(o.planFile, o.profile); err != nil {
		return err
	}
	s := plan.NewSetup(o.profile, o.model, kept.Day)
	if err := s.Sound(); err != nil {
		return err
	}
	a := plan.Solve(s, plan.DepthFull)
	o.model = s.Informed()
	model, err := o.model.Format()
	if err != nil {
		return err
	}
	o.texts.Model = string(model)
	o.plan = &fromPlan{targetPa: s.Day.TargetPa, screen: screen.Planned{AirK: s.Day.Air.Value, RampPaS: kept.RampPaS, TargetInS: math.NaN()}}
	if a.Verdict != plan.NoGo { // of which nothing is drawn that could be done
		o.plan.screen.TargetInS, o.plan.screen.Path = a.AdvisedInS(), a.Path
	}
	if p := &o.plan.screen; a.CourseAdvised() {
		p.RampPaS, p.Then = a.Course[0].RampPaS, advise.Change{RampPaS: a.Course[1].RampPaS, FromPa: a.Course[1].FromPa}
	}
	return checkModel(o.planFile, o.model, o.profile)
}

// begin tells the session the plan's target, as an operator's entry.
func (p *fromPlan) begin(w *live) error {
	if p == nil {
		return nil
	}
	pa := math.Round(p.targetPa)
	if !(pa > 0 && pa <= math.MaxInt32) {
		return errors.New("the plan's target can't be told to the watch")
	}
	return w.Entry(wire.Entry{Kind: wire.EntryTarget, Value: int32(pa)})
}
