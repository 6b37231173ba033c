package thermal

import "math"

// Leg is a part of a course: at one ramp up to a pressure, or a wait.
type Leg struct {
	RampPaS float64 // 0: a wait with the supply shut
	ToPa    float64 // absolute
	ForS    float64 // of a wait
}

// Plan is what a forecast assumes of the operator: carry out the legs Before, go
// on at RampPaS until TargetPa or until StopAfterS, shut, and stand.
type Plan struct {
	Before     []Leg
	RampPaS    float64 // pressure rise; 0: shut at once
	TargetPa   float64 // absolute pressure at which the ramp ends
	StopAfterS float64 // the ramp ends then at the latest; 0 with RampPaS 0
	HorizonS   float64 // how long to look at the most
	AmbientK   float64
	UntilPeak  bool // end once the wall has peaked and falls
}

// Run is the outcome of a forecast. Times are seconds from its start.
type Run struct {
	PeakK     float64 // hottest wall from now on
	PeakInS   float64
	PeakSide  int
	Peaks     Ends    // of each end
	RampEndS  float64 // when the ramp ended
	RampEndPa float64 // absolute
	MassKg    float64 // after the ramp
	ColdK     float64 // coldest gas
	EndS      float64
	End       State
	EndPa     float64
}

// Visit is called with every point of a forecast; s is valid during the call.
type Visit func(inS, pressurePa, hottestK float64, s *State)

const (
	rampSteps      = 16.0 // equal ones over any ramp, so that what they miss does not jump from ramp to ramp,
	rampFirstS     = 1.5  // but the first no longer than this: a wall beside hot gas may peak at once
	rampStretch    = 1.5  // each step so many times longer at the most
	rampStepLeastS = 0.1  // and none shorter than this
	coastFirstS    = 1.0  // first step of the coast, stretched from there
	coastStretch   = 1.25 // each step that much longer
	coastStepMostS = 60.0 // longest step of the coast
	forecastSteps  = 4000 // bound on any forecast
	peakedByK      = 0.05 // a wall that fell this far below its peak has peaked
)

// Forecast runs the vessel forward from s at absolute pressure pPa. It leaves the
// sensors as they are.
func (m *Model) Forecast(s State, p *Params, pPa float64, plan Plan, visit Visit) Run {
	f := forecast{m: m, c: p.coefficients(), s: s, pPa: pPa, plan: plan, visit: visit, step: step{noBead: true, noSkins: true}}
	f.run = Run{PeakK: math.Inf(-1), Peaks: Alike(math.Inf(-1)), ColdK: s.GasK, RampEndPa: pPa}
	rho := m.densityAt(&f.s, pPa)
	f.run.MassKg = rho * m.VolumeM3
	f.note(0, rho, 0)
	for _, l := range plan.Before {
		f.leg(l)
	}
	f.ramp()
	f.coast(plan.HorizonS, plan.UntilPeak)
	f.run.End, f.run.EndPa, f.run.EndS = f.s, f.pPa, f.t
	return f.run
}

type forecast struct {
	m     *Model
	c     coefficients
	s     State
	pPa   float64
	t     float64
	step  step
	steps int
	plan  Plan
	visit Visit
	run   Run
}

// leg carries a leg out.
func (f *forecast) leg(l Leg) {
	left := f.plan.HorizonS - f.t
	if l.RampPaS == 0 {
		f.coast(f.t+min(l.ForS, left), false)
		return
	}
	f.rise(l.RampPaS, min((l.ToPa-f.pPa)/l.RampPaS, left))
}

// ramp goes to the target at the plan's ramp.
func (f *forecast) ramp() {
	length := 0.0
	if f.plan.RampPaS != 0 {
		length = max(0, (f.plan.TargetPa-f.pPa)/f.plan.RampPaS)
	}
	if f.plan.StopAfterS > 0 {
		length = min(length, f.plan.StopAfterS)
	}
	f.rise(f.plan.RampPaS, min(length, f.plan.HorizonS-f.t))
}

// rise goes at a ramp for length, s.
func (f *forecast) rise(rampPaS, length float64) {
	if !(length > 0) {
		return
	}
	longest := max(length/rampSteps, min(rampStepLeastS, length))
	begunS, begunPa := f.t, f.pPa
	for dt, doneS := min(rampFirstS, longest), 0.0; doneS < length; dt = min(dt*rampStretch, longest) {
		end := doneS + dt
		if end > length-0.01*dt { // a rest that rounding left
			end = length
		}
		p2 := begunPa + rampPaS*end
		flow := f.step.open(f.m, &f.s, &f.c, f.pPa, p2, f.plan.AmbientK, end-doneS)
		f.pPa = p2
		f.run.MassKg = flow.MassKg
		f.note(end-doneS, flow.DensityKgM3, flow.InflowKgS)
		f.t, doneS = begunS+end, end
	}
	f.run.RampEndS, f.run.RampEndPa = f.t, f.pPa
}

// coast stands with the supply shut until endS or until the wall has peaked.
func (f *forecast) coast(endS float64, untilPeak bool) {
	dt := coastFirstS
	for f.t < endS && f.steps < forecastSteps {
		step := min(dt, endS-f.t)
		flow := f.step.closed(f.m, &f.s, &f.c, f.pPa, f.plan.AmbientK, step)
		f.pPa = flow.PressurePa
		hot := f.note(step, flow.DensityKgM3, 0)
		if untilPeak && hot < f.run.PeakK-peakedByK && f.falling(f.c.filmState(flow.DensityKgM3, 0)) {
			return
		}
		dt = min(dt*coastStretch, coastStepMostS)
	}
}

// falling says that no side can rise above the peak any more: its outside and the
// gas are both below it by what layers and a far end add or may still come to add.
func (f *forecast) falling(stir filmState) bool {
	s, m := &f.s, f.m
	wallK := m.meanWallK(s, &f.c)
	layerK, _ := f.c.excessSettledK(stir, s.GasK-wallK)
	farK, _ := m.farSettledK(s, &f.c, stir, s.GasK, s.FarGasK, wallK)
	e := m.excesses(s, &f.c, stir, wallK)
	more := max(layerK, s.ExcessK, e.layerInK, 0)
	more += topCot * more // more than that no line beside the sunniest has
	if m.FarShare > 0 {
		more += max(farK, s.FarK, e.farInK, 0)
	}
	gasK := max(s.GasK, m.nearK(&f.c, s.GasK, s.FarGasK, wallK))
	for i := range m.Sides {
		if max(s.OutK[i], gasK)+more > f.run.PeakK {
			return false
		}
	}
	return true
}

// note keeps the outcome up to date after a step of dtS.
func (f *forecast) note(dtS, densityKgM3, inflowKgS float64) float64 {
	f.t += dtS
	f.steps++
	l := f.m.look(&f.s, &f.c, f.c.filmState(densityKgM3, inflowKgS))
	ends, side := f.m.ends(&l)
	hot := ends.HottestK()
	f.run.Peaks.Most(ends)
	// Once the wall is unknown, so is its peak.
	if hot > f.run.PeakK || math.IsNaN(hot) {
		f.run.PeakK, f.run.PeakInS, f.run.PeakSide = hot, f.t, side
	}
	f.run.ColdK = min(f.run.ColdK, f.s.GasK)
	if f.visit != nil {
		f.visit(f.t, f.pPa, hot, &f.s)
	}
	return hot
}
