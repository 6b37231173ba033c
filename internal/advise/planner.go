package advise

import (
	"math"

	"fillwright/internal/phase"
	"fillwright/internal/thermal"
)

// Planner looks ahead. It remembers the ramp it last advised, to begin its search
// there, and for a few seconds the directions that it has taken.
type Planner struct {
	lastRamp float64
	marks    Marks // ramps at which directions are taken
	peaks    [marksKept]direction
	coast    direction // of the coast peak
	root     thermal.Cholesky
	ready    bool
	kept     follower
}

// direction is a bound with when and where it was taken.
type direction struct {
	bound
	mark int
	at   aimed
}

// marksKept is how many marks' directions are kept.
const marksKept = 5

// aimed says of what situation a worst direction was taken.
type aimed struct {
	timeS float64
	phase phase.Phase
	widen float64
	outK  float64 // one sigma of the sunny side's outside
	sure  bool
}

// How long a worst direction stays good, s: uncertainty turns slowly, and more
// slowly while the gas stands, and the estimate that it is put on is always
// the newest. A reading that changes what is known makes them new at once. Every
// other mark is kept a little longer, so that not all are made in one look.
const (
	reaimCoastS = 4.0
	reaimOddS   = 3.0
	reaimEvenS  = 2.0  // more
	reaimStandS = 56.0 // more, while no gas flows
)

func (q *Query) flows() bool { return q.Phase == phase.Filling || q.Phase == phase.Venting }

// holds tells whether a direction taken at a still serves after so long.
func (a aimed) holds(q *Query, goodS float64) bool {
	if !q.flows() {
		goodS += reaimStandS
	}
	if !a.sure || q.TimeS-a.timeS >= goodS || q.TimeS < a.timeS || a.phase != q.Phase || a.widen != q.Estimate.BandFactor {
		return false
	}
	now := outsideSigmaK(q.Estimate)
	return now > a.outK/nearDoubt && now < a.outK*nearDoubt
}

func aimedAt(q *Query) aimed {
	return aimed{timeS: q.TimeS, phase: q.Phase, widen: q.Estimate.BandFactor, outK: outsideSigmaK(q.Estimate), sure: true}
}

// nearDoubt is the factor in what is not known of the sun over which a direction
// still serves: in the first seconds of a watch that shrinks fast.
const nearDoubt = 1.15

// outsideSigmaK is one sigma of the sunny side's outside; 0 is taken for a little.
func outsideSigmaK(b *thermal.Estimate) float64 {
	at := b.Layout.AtOut(thermal.SideSun)
	return math.Sqrt(math.Max(b.Cov[at*b.Layout.N+at], 1e-6))
}

// Forget makes the next Plan take its directions anew, after a reading has
// changed what is known.
func (pl *Planner) Forget() {
	for i := range pl.peaks {
		pl.peaks[i].at.sure = false
	}
	pl.coast.at.sure, pl.kept.along.at.sure = false, false
	pl.kept.lookS = math.Inf(-1)
}

// rampPeak runs the fill at a ramp forward from a state.
func rampPeak(q *Query, m *thermal.Model, s thermal.State, p *thermal.Params, rampPaS float64, visit thermal.Visit) thermal.Run {
	return m.Forecast(s, p, q.PressurePa, thermal.Plan{
		RampPaS: rampPaS, TargetPa: q.TargetPa, HorizonS: q.horizonS(rampPaS),
		AmbientK: q.AmbientK, UntilPeak: true,
	}, visit)
}

// stopPeak runs forward with the present ramp for afterS and then shut.
func stopPeak(q *Query, m *thermal.Model, s thermal.State, p *thermal.Params, afterS float64, visit thermal.Visit) thermal.Run {
	plan := thermal.Plan{HorizonS: afterS + holdLeastS, AmbientK: q.AmbientK, UntilPeak: true}
	if q.RampPaS > 0 && afterS > 0 {
		plan.RampPaS, plan.StopAfterS = q.RampPaS, afterS
		plan.TargetPa = q.PressurePa + q.RampPaS*afterS
	}
	return m.Forecast(s, p, q.PressurePa, plan, visit)
}

// keep drops the directions that have aged and lets the others follow the
// newest estimate.
func (pl *Planner) keep(q *Query) {
	for i := range pl.peaks {
		d := &pl.peaks[i]
		if d.at.sure = d.at.holds(q, reaimOddS+reaimEvenS*float64((d.mark+1)%2)); d.at.sure {
			d.follow(q.Estimate)
		}
	}
}

// aim is the worst direction at a mark; it is taken now unless it is kept.
func (pl *Planner) aim(q *Query, mark int) *direction {
	worst := &pl.peaks[0] // the one to give up
	for i := range pl.peaks {
		d := &pl.peaks[i]
		if d.at.sure && d.mark == mark {
			return d
		}
		if worst.at.sure && (!d.at.sure || distance(d.mark, mark) > distance(worst.mark, mark)) {
			worst = d
		}
	}
	rampPaS := pl.marks.PaS(mark)
	pl.take(q, worst, func(s *thermal.State, p *thermal.Params) thermal.Run {
		return rampPeak(q, q.Estimate.Model, *s, p, rampPaS, nil)
	})
	worst.mark = mark
	return worst
}

func distance(a, b int) int { return max(a-b, b-a) }

// take takes a direction now.
func (pl *Planner) take(q *Query, d *direction, run func(*thermal.State, *thermal.Params) thermal.Run) {
	pl.root.Factorize(q.Estimate)
	d.at, d.bound = aimedAt(q), pl.boundOf(q.Estimate, run)
}

func (pl *Planner) aimCoast(q *Query) {
	if pl.coast.at.holds(q, reaimCoastS) {
		pl.coast.follow(q.Estimate)
		return
	}
	pl.take(q, &pl.coast, func(s *thermal.State, p *thermal.Params) thermal.Run {
		return stopPeak(q, q.Estimate.Model, *s, p, 0, nil)
	})
	pl.ready = true
}

// upper is the two-sigma upper bound of the peak at a ramp; NaN when unknown.
func (pl *Planner) upper(q *Query, rampPaS float64) float64 {
	return pl.marks.between(rampPaS, func(mark int) float64 { return pl.aim(q, mark).upperAt(q, rampPaS) })
}

func (d *direction) upperAt(q *Query, rampPaS float64) float64 {
	return d.upper(q.Estimate, rampPeak(q, q.Estimate.Model, d.state, &d.params, rampPaS, nil))
}

// bandK is two sigma of the peak at a ramp.
func (pl *Planner) bandK(q *Query, rampPaS float64) float64 {
	return pl.marks.between(rampPaS, func(mark int) float64 { return pl.aim(q, mark).bound.bandK })
}

// search is the fastest ramp that may be offered whose bound stays at or under the
// goal; ok is false when not even the least ramp does.
func (pl *Planner) search(q *Query) (rampPaS float64, ok bool) {
	pl.marks.LeastPaS, pl.marks.MostPaS = q.RampLeast, q.RampMost
	pl.keep(q)
	if !(pl.lastRamp >= q.RampLeast && pl.lastRamp <= q.RampMost) {
		pl.lastRamp = pl.guess(q)
	}
	rampPaS, ok = pl.marks.Fastest(pl.lastRamp, func(mark int, r float64) float64 { return pl.aim(q, mark).upperAt(q, r) - q.goalK() })
	pl.lastRamp = math.Max(rampPaS, q.RampLeast)
	return math.Min(rampPaS, q.mostPaS()), ok
}

// guess is the ramp whose peak has the room that a stop's band needs.
func (pl *Planner) guess(q *Query) float64 {
	rampPaS, _ := Fastest(q.RampLeast, q.RampMost, q.RampMost, func(r float64) float64 {
		return rampPeak(q, q.Estimate.Model, q.Estimate.State, &q.Estimate.Params, r, nil).PeakK + pl.coast.bandK - q.goalK()
	})
	return math.Max(rampPaS, q.RampLeast)
}

// stopUpper is the two-sigma upper bound of the peak when the fill goes on for
// afterS and is then stopped.
func (pl *Planner) stopUpper(q *Query, afterS float64) float64 {
	return pl.coast.upper(q.Estimate, stopPeak(q, q.Estimate.Model, pl.coast.state, &pl.coast.params, afterS, nil))
}

// StopTooLate is the abort rule: going on at the present ramp for the
// reaction time and then stopping would take the bound to the onset. It uses
// the directions of the last Plan, so that it can be asked at every step.
func (pl *Planner) StopTooLate(q *Query) bool {
	if !pl.ready {
		return false
	}
	pl.coast.follow(q.Estimate)
	return !(pl.stopUpper(q, q.ReactionS) < q.OnsetK) // an unknown bound trips too
}

// toLimit is the time until the abort rule trips at the present ramp; +Inf
// when the target comes first.
func (pl *Planner) toLimit(q *Query) float64 {
	length := (q.TargetPa - q.PressurePa) / q.RampPaS
	if !(length > 0) {
		return math.Inf(1)
	}
	length = math.Min(length, horizonMostS)
	trips := func(t float64) bool { return !(pl.stopUpper(q, t+q.ReactionS) < q.OnsetK) }
	switch {
	case trips(0): // and may not again for a while, in a wall that cools
		return 0
	case !trips(length - q.ReactionS):
		return math.Inf(1)
	}
	low, high := 0.0, length
	for i := 0; i < 6; i++ {
		mid := 0.5 * (low + high)
		if trips(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return low
}

// wait is the time until filling may go on at the least ramp when the vessel
// stands from now; NaN when it does not come within the horizon.
func (pl *Planner) wait(q *Query) float64 {
	m, slow := q.Estimate.Model, pl.aim(q, 0)
	type stop struct {
		t, p float64
		s    thermal.State
	}
	var stops []stop
	next := 15.0
	m.Forecast(slow.state, &slow.params, q.PressurePa, thermal.Plan{HorizonS: 3600, AmbientK: q.AmbientK},
		func(t, p, _ float64, s *thermal.State) {
			if t >= next {
				stops = append(stops, stop{t, p, *s})
				next = t * 1.5
			}
		})
	for i := range stops {
		later := *q
		later.PressurePa = stops[i].p
		run := rampPeak(&later, m, stops[i].s, &slow.params, q.RampLeast, nil)
		if slow.upper(q.Estimate, run) <= q.goalK() {
			return stops[i].t
		}
	}
	return math.NaN()
}

// holdLimit is how long the vessel may stand from now, under the clearest sky
// that may come meanwhile.
func (pl *Planner) holdLimit(q *Query) float64 {
	limitS := math.Inf(1)
	b, lastS := q.Estimate, 0.0
	b.Model.Forecast(pl.coast.state, &pl.coast.params, q.PressurePa, thermal.Plan{HorizonS: horizonMostS, AmbientK: q.AmbientK},
		func(inS, _, hottestK float64, _ *thermal.State) {
			if !(hottestK+pl.coast.moreK(b, inS) < q.goalK()) { // an unknown wall may not stand
				limitS = math.Min(limitS, lastS)
			}
			lastS = inS
		})
	return limitS
}
