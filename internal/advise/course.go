package advise

import (
	"math"

	"fillwright/internal/phase"
	"fillwright/internal/thermal"
)

// Change is the next change of the valve: from a pressure on, another ramp.
type Change struct {
	RampPaS float64 // NaN or 0: none is asked for
	FromPa  float64 // gauge
}

// Known says whether a change is asked for.
func (c Change) Known() bool { return c.RampPaS > 0 }

// course is a fill in two legs. The zero value is none.
type course struct {
	firstPaS, toPa float64 // the first ramp, and up to where, absolute
	lastPaS        float64 // from there to the target
}

// some says whether there is one.
func (c *course) some() bool { return c.lastPaS > 0 }

// lengthS is how long it takes from now, the change made in time.
func (c *course) lengthS(q *Query) float64 {
	return math.Max(0, (c.toPa-q.PressurePa)/c.firstPaS) + (q.TargetPa-c.toPa)/c.lastPaS
}

// What a course has to be, and how one is looked for. Common practice, no source.
const (
	// CourseWorth is the share of the time that a course must save to be advised in
	// place of one ramp.
	CourseWorth  = 0.10
	changeWorth  = 0.20  // and anything in place of the course that stands
	reactionsLeg = 4.0   // a leg lasts at least so many reaction times
	legFloorS    = 15.0  // and so long
	firstStep    = 0.7   // from one first ramp that is tried to the next
	lengthStep   = 1.5   // from one length of the first leg to the next
	lastShare    = 0.5   // of the one ramp: a slower last leg leaves no room for what is yet to be learned
	lookEveryS   = 10.0  // while gas flows: between looks for another course
	freestForS   = 300.0 // the one ramp of late is forgotten in this time
	freestShare  = 0.95  // of that: a slower one has been slowed down
	doubtMost    = 1.1   // widened by more, the band begins no course
	zeroMostPa   = 0.2e5 // nor does a gauge that may be off by more, two sigma: its mark is read there
)

// inDoubt says that one ramp is asked for until more is known: whether a course is
// found can hang on a trifle, and doubt shall not be it.
func (q *Query) inDoubt() bool { return q.Estimate.BandFactor > doubtMost || q.ZeroBandPa > zeroMostPa }

// LegLeastS is the shortest leg that a hand with a reaction time can follow.
func LegLeastS(reactionS float64) float64 { return math.Max(reactionsLeg*reactionS, legFloorS) }

func (q *Query) legLeastS() float64 { return LegLeastS(q.ReactionS) }

// lateToPa is where the first leg ends for a hand that is late by the reaction time.
func (c *course) lateToPa(q *Query) float64 {
	return math.Min(c.toPa+c.firstPaS*q.ReactionS, q.TargetPa)
}

// coursePeak runs a course forward from a state, the valve turned too late by the
// reaction time.
func coursePeak(q *Query, c *course, s thermal.State, p *thermal.Params, visit thermal.Visit) thermal.Run {
	toPa := c.lateToPa(q)
	firstS := math.Max(0, (toPa-q.PressurePa)/c.firstPaS)
	before := [1]thermal.Leg{{RampPaS: c.firstPaS, ToPa: toPa}}
	return q.Estimate.Model.Forecast(s, p, q.PressurePa, thermal.Plan{
		Before: before[:], RampPaS: c.lastPaS, TargetPa: q.TargetPa, AmbientK: q.AmbientK, UntilPeak: true,
		HorizonS: math.Min(firstS+(q.TargetPa-toPa)/c.lastPaS+math.Max(q.HoldS, holdLeastS), horizonMostS),
	}, visit)
}

// follower keeps to a course from one look ahead to the next.
type follower struct {
	course
	along  direction // its own worst one
	lookS  float64   // session time of the last look for another
	freest float64   // how fast the one ramp was of late
	freeS  float64   // session time of that
}

// over is by how much the bound of a course passes the goal: the largest along its
// own direction, where that was taken, and those at the marks beside the one ramp. As
// it is told it is asked too, for along a direction of a while ago the bound may lie a
// little lower. With first it asks no further than what is over 0.
func (pl *Planner) over(q *Query, c *course, first bool) float64 {
	most, along := math.Inf(-1), &pl.kept.along
	over := func(d *direction) bool {
		up := d.upper(q.Estimate, coursePeak(q, c, d.state, &d.params, nil))
		most = math.Max(most, up-q.goalK())
		return first && !(most <= 0)
	}
	if along.at.sure {
		if over(along) {
			return most
		}
		told := coursePeak(q, c, q.Estimate.State, &q.Estimate.Params, nil).PeakK + along.bandK
		most = math.Max(most, told-q.goalK())
	}
	for mark := pl.marks.at; mark <= pl.marks.at+1; mark++ {
		if over(pl.aim(q, mark)) {
			break
		}
	}
	return most
}

// lastLeg makes the last leg of a course the fastest, from a ramp on, whose bound
// stays under the goal and which is long enough for a hand; false when not even that
// ramp does. What was told is kept where it does, and is not a tenth too slow, so that
// it can be read.
func (pl *Planner) lastLeg(q *Query, c *course, leastPaS, toldPaS float64) bool {
	over := func(rampPaS float64) float64 {
		c.lastPaS = rampPaS
		return pl.over(q, c, false)
	}
	does := func(rampPaS float64) bool {
		c.lastPaS = rampPaS
		return pl.over(q, c, true) <= 0
	}
	most, near := math.Max(math.Min(c.firstPaS, (q.TargetPa-c.toPa)/q.legLeastS()), leastPaS), leastPaS
	if faster := (1 + CourseWorth) * toldPaS; toldPaS >= leastPaS && faster <= most {
		switch {
		case !does(toldPaS):
			most = toldPaS
		case !does(faster):
			c.lastPaS = toldPaS
			return true
		default:
			near = faster
		}
	}
	if near == leastPaS && !does(leastPaS) {
		return false
	}
	var ok bool
	c.lastPaS, ok = Fastest(leastPaS, most, near, over)
	return ok
}

// aimCourse takes the worst direction of a course's peak, unless it serves.
func (pl *Planner) aimCourse(q *Query, c *course) {
	along := &pl.kept.along
	if along.at.holds(q, reaimOddS) {
		along.follow(q.Estimate)
		return
	}
	pl.take(q, along, func(s *thermal.State, p *thermal.Params) thermal.Run { return coursePeak(q, c, *s, p, nil) })
}

// keepTo keeps the course that stands as it was told, its mark sooner and its last
// leg slower or faster as is known by now, while one ramp is not much the faster.
func (pl *Planner) keepTo(q *Query, onePaS float64) {
	f := &pl.kept
	if !f.some() {
		return
	}
	c := f.course
	if q.PressurePa >= c.toPa || c.firstPaS > q.mostPaS() || q.TargetPa <= c.lateToPa(q) {
		f.course = course{}
		return
	}
	pl.aimCourse(q, &c)
	if !pl.sooner(q, &c) || (1-changeWorth)*c.lengthS(q) > (q.TargetPa-q.PressurePa)/onePaS {
		f.course = course{}
		return
	}
	f.course = c
}

// marksSooner are the shares of the way to its mark at which a course may be changed
// where the wall turns out warmer.
var marksSooner = [...]float64{1, 0.85, 0.7, 0.5, 0.3}

// sooner makes the last leg of a course the fastest, after a first leg that ends
// sooner if it has to; false when that is not enough.
func (pl *Planner) sooner(q *Query, c *course) bool {
	toldPaS, wayPa := c.lastPaS, c.toPa-q.PressurePa
	for _, share := range marksSooner {
		c.toPa = q.PressurePa + share*wayPa
		if pl.lastLeg(q, c, q.RampLeast, toldPaS) {
			return true
		}
	}
	return false
}

// courseFor keeps to the course that stands, and looks for one that saves more
// than a tenth of the time. It is only begun where the one ramp is as fast as it
// was of late: what slows that down makes no first leg fast.
func (pl *Planner) courseFor(q *Query, onePaS float64) *course {
	f := &pl.kept
	if q.Phase == phase.Venting || onePaS >= q.mostPaS() || q.TargetPa <= q.PressurePa {
		*f = follower{}
		return &f.course
	}
	f.freest = math.Max(f.freest*math.Exp(-math.Max(q.TimeS-f.freeS, 0)/freestForS), onePaS)
	f.freeS = q.TimeS
	pl.keepTo(q, onePaS)
	if q.inDoubt() || q.Phase == phase.Filling && q.TimeS-f.lookS < lookEveryS || onePaS < freestShare*f.freest {
		return &f.course
	}
	f.lookS = q.TimeS
	mostS := (1 - CourseWorth) * (q.TargetPa - q.PressurePa) / onePaS
	if f.some() {
		mostS = math.Min(mostS, (1-changeWorth)*f.lengthS(q))
	}
	was := *f
	f.along.at.sure = false
	if c := pl.faster(q, onePaS, mostS); c.some() {
		pl.aimCourse(q, &c)
		if pl.lastLeg(q, &c, lastShare*onePaS, c.lastPaS) && c.lengthS(q) < mostS {
			f.course = c
			return &f.course
		}
	}
	*f = was
	return &f.course
}

// faster is the fastest course of those tried that takes less than mostS, along
// the directions taken; the zero course where none does. For each, the slowest last
// leg that would do is asked first: most fail there.
func (pl *Planner) faster(q *Query, onePaS, mostS float64) (best course) {
	for first := q.mostPaS(); first > onePaS; first *= firstStep {
		for s := q.legLeastS(); s < mostS-q.legLeastS(); s *= lengthStep {
			c := course{firstPaS: first, toPa: q.PressurePa + first*s}
			left := q.TargetPa - c.toPa
			need := math.Max(left/(mostS-s), math.Max(lastShare*onePaS, q.RampLeast))
			if !(c.lateToPa(q) < q.TargetPa) || need > first || left/need < q.legLeastS() {
				break
			}
			if !pl.lastLeg(q, &c, need, 0) {
				continue
			}
			best, mostS = c, c.lengthS(q)
		}
	}
	return best
}
