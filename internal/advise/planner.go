package advise

import (
	"math"

	"fillwright/internal/thermal"
)

// Planner looks ahead. It remembers only the ramp it last advised, to take
// its uncertainty there.
type Planner struct {
	lastRamp float64
	ramp     bound // of peaks, the one taken nearest to the advised ramp
	peaks    [directionsMost]direction
	taken    int   // of peaks
	coast    bound // worst direction of the coast peak
	root     thermal.Cholesky
	coastAt  aimed
	ready    bool
}

// direction is the bound of the peak with where it was taken.
type direction struct {
	bound
	at aimed
}

// directionsMost bounds the directions kept. One taken at a slow ramp makes
// little of what grows with the ramp, so a bound is the largest over all:
// each is a state within two sigma, none claims too much.
const directionsMost = 3

// aimed says where a worst direction was taken.
type aimed struct {
	timeS, ramp float64
	mode        Mode
	widen       float64
	outK        float64 // one sigma of the sunny side's outside
	sure        bool
}

// How long a worst direction stays good, s: uncertainty turns slowly, and more
// slowly while the gas stands, and the estimate that it is put on is always
// the newest. A reading that changes what is known makes them new at once.
const (
	reaimS      = 4.0
	reaimStandS = 30.0
)

func (q *Query) reaimS() float64 {
	if q.Mode == ModeFilling || q.Mode == ModeVenting {
		return reaimS
	}
	return reaimStandS
}

// nearRamp is the factor in ramp over which a direction still serves. Two
// situations may thus be judged along different directions: in one draw of a
// hundred more caution brings a ramp up to half faster, because the bolder
// advice was the needlessly slow one (TestCautionSlows).
const nearRamp = 1.25

// holds tells whether a direction taken at a still serves.
func (a aimed) holds(q *Query, ramp float64) bool {
	if !a.sure || q.TimeS-a.timeS >= q.reaimS() || q.TimeS < a.timeS || a.mode != q.Mode || a.widen != q.Estimate.BandFactor {
		return false
	}
	if now := outsideSigmaK(q.Estimate); !(now > a.outK/nearDoubt && now < a.outK*nearDoubt) {
		return false
	}
	return ramp == a.ramp || (ramp < nearRamp*a.ramp && a.ramp < nearRamp*ramp)
}

func aimedAt(q *Query, ramp float64) aimed {
	return aimed{timeS: q.TimeS, ramp: ramp, mode: q.Mode, widen: q.Estimate.BandFactor, outK: outsideSigmaK(q.Estimate), sure: true}
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
func (pl *Planner) Forget() { pl.taken, pl.coastAt.sure = 0, false }

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
	n := 0
	for _, d := range pl.peaks[:pl.taken] {
		if d.at.holds(q, d.at.ramp) {
			d.follow(q.Estimate)
			pl.peaks[n] = d
			n++
		}
	}
	pl.taken = n
}

// aim takes the worst direction at a ramp, unless one was taken near it.
func (pl *Planner) aim(q *Query, rampPaS float64) {
	for i := range pl.peaks[:pl.taken] {
		if pl.peaks[i].at.holds(q, rampPaS) {
			return
		}
	}
	if pl.taken == directionsMost {
		copy(pl.peaks[:], pl.peaks[1:])
		pl.taken--
	}
	b := q.Estimate
	pl.root.Factorize(b)
	d := direction{at: aimedAt(q, rampPaS)}
	d.bound = pl.boundOf(b, func(s *thermal.State, p *thermal.Params) thermal.Run {
		return rampPeak(q, b.Model, *s, p, rampPaS, nil)
	})
	pl.peaks[pl.taken] = d
	pl.taken++
}

// near is the direction taken nearest to a ramp.
func (pl *Planner) near(rampPaS float64) bound {
	best, least := pl.peaks[0].bound, math.Inf(1)
	for _, d := range pl.peaks[:pl.taken] {
		if away := math.Abs(math.Log(d.at.ramp / rampPaS)); away < least {
			best, least = d.bound, away
		}
	}
	return best
}

func (pl *Planner) aimCoast(q *Query) {
	if pl.coastAt.holds(q, 0) {
		pl.coast.follow(q.Estimate)
		return
	}
	pl.coastAt = aimedAt(q, 0)
	b := q.Estimate
	pl.root.Factorize(b)
	pl.coast = pl.boundOf(b, func(s *thermal.State, p *thermal.Params) thermal.Run {
		return stopPeak(q, b.Model, *s, p, 0, nil)
	})
	pl.ready = true
}

// upper is the two-sigma upper bound of the peak at a ramp; NaN when unknown.
func (pl *Planner) upper(q *Query, rampPaS float64) float64 {
	up := math.Inf(-1)
	for i := range pl.peaks[:pl.taken] {
		up = math.Max(up, pl.upperAlong(q, rampPaS, &pl.peaks[i]))
	}
	return up
}

func (pl *Planner) upperAlong(q *Query, rampPaS float64, d *direction) float64 {
	return d.upper(q.Estimate, rampPeak(q, q.Estimate.Model, d.state, &d.params, rampPaS, nil))
}

// under tells whether upper is at or under goalK; the newest direction, taken
// nearest to the answer, is asked first. An unknown bound is not.
func (pl *Planner) under(q *Query, rampPaS, goalK float64) bool {
	for i := pl.taken - 1; i >= 0; i-- {
		if !(pl.upperAlong(q, rampPaS, &pl.peaks[i]) <= goalK) {
			return false
		}
	}
	return pl.taken > 0
}

// fastest is the fastest ramp whose upper bound stays at or under goalK; ok
// is false when not even the least ramp does.
func (pl *Planner) fastest(q *Query, goalK float64) (rampPaS float64, ok bool) {
	if pl.under(q, q.RampMost, goalK) {
		return q.RampMost, true
	}
	if !pl.under(q, q.RampLeast, goalK) {
		return 0, false
	}
	low, high := math.Log(q.RampLeast), math.Log(q.RampMost)
	for i := 0; i < bisections; i++ {
		mid := 0.5 * (low + high)
		if pl.under(q, math.Exp(mid), goalK) {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp(low), true
}

// search is fastest with its uncertainty taken near the answer. Directions
// only add up, so that from try to try the answer gets no faster.
func (pl *Planner) search(q *Query) (rampPaS float64, ok bool) {
	at := pl.lastRamp
	if !(at >= q.RampLeast && at <= q.RampMost) {
		at = math.Sqrt(q.RampLeast * q.RampMost)
	}
	pl.keep(q)
	for try := 0; try < directionsMost; try++ {
		pl.aim(q, at)
		rampPaS, ok = pl.fastest(q, q.goalK())
		next := rampPaS
		if !ok {
			next = q.RampLeast
		}
		if r := next / at; r < nearRamp && r > 1/nearRamp {
			break
		}
		at = next
	}
	pl.lastRamp = math.Max(rampPaS, q.RampLeast)
	pl.ramp = pl.near(pl.lastRamp)
	return rampPaS, ok
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
	m := q.Estimate.Model
	type stop struct {
		t, p float64
		s    thermal.State
	}
	var stops []stop
	next := 15.0
	m.Forecast(pl.ramp.state, &pl.ramp.params, q.PressurePa, thermal.Plan{HorizonS: 3600, AmbientK: q.AmbientK},
		func(t, p, _ float64, s *thermal.State) {
			if t >= next {
				stops = append(stops, stop{t, p, *s})
				next = t * 1.5
			}
		})
	for i := range stops {
		later := *q
		later.PressurePa = stops[i].p
		run := rampPeak(&later, m, stops[i].s, &pl.ramp.params, q.RampLeast, nil)
		if pl.ramp.upper(q.Estimate, run) <= q.goalK() {
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
