package plan

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// search looks for ramps and courses on one setup.
type search struct {
	ahead
	goalK             float64
	targetPa          float64 // absolute
	leastPaS, mostPaS float64
	mostWhy           wording.Text  // why it is less than the vessel's limit; empty: it is not
	legLeastS         float64       // shorter legs no hand follows
	shape             func(*Course) // what remedies make of a single ramp; nil: nothing
}

func newSearch(s *Setup, causes []cause) *search {
	b := s.estimate(causes)
	l, ambient := &s.Vessel.Limits, float64(s.Vessel.AmbientPressure)
	mostPaS, why := s.mostPaS()
	return &search{
		ahead: ahead{b: b, ambientK: s.Day.Air.Value, holdS: s.Day.HoldS},
		goalK: s.goalK(), targetPa: s.Day.TargetPa + ambient,
		leastPaS: float64(l.RampLeast), mostPaS: mostPaS, mostWhy: why,
		legLeastS: advise.LegLeastS(float64(l.Reaction)),
	}
}

// mostPaS is the fastest ramp that is looked at, and why it is less than the fastest
// that the vessel's limits name: a plan gives leave for none that the live screen would
// not offer before the first gas.
func (s *Setup) mostPaS() (mostPaS float64, why wording.Text) {
	l := &s.Vessel.Limits
	mostPaS, why = advise.FirstMostPaS(s.Model.Range.RampMostPaS, s.Day.TargetPa, float64(l.Reaction))
	if mostPaS >= float64(l.RampMost) {
		return float64(l.RampMost), wording.Text{}
	}
	return math.Max(mostPaS, float64(l.RampLeast)), why
}

// one is a single ramp to the target, shaped by remedies.
func (q *search) one(rampPaS float64) Course {
	c := Course{{RampPaS: rampPaS, ToPa: q.targetPa}}
	if q.shape != nil {
		q.shape(&c)
	}
	return c
}

// lastLeg is the fastest ramp of the last leg after others, at most mostPaS, whose
// bound stays under the goal; 0 when none does.
func (q *search) lastLeg(before Course, mostPaS float64) float64 {
	c := append(append(Course{}, before...), thermal.Leg{ToPa: q.targetPa})
	found, _ := advise.Fastest(q.leastPaS, mostPaS, q.leastPaS, func(rampPaS float64) float64 {
		c[len(c)-1].RampPaS = rampPaS
		return q.upperK(c) - q.goalK
	})
	return found
}

// How often a ramp is slowed down by its own direction, and what is no matter then.
const (
	slowings = 6
	overK    = 0.005
)

// ramp is the fastest single ramp, 0 when not even the least does, as the live
// advice finds it: between the marks at which directions were taken the bound may lie a
// little low, so that its own direction, which courses are held to, has to keep the
// goal as well.
func (q *search) ramp() float64 {
	taken := map[int]*bound{}
	marks := advise.Marks{LeastPaS: q.leastPaS, MostPaS: q.mostPaS}
	found, _ := marks.Fastest(math.Sqrt(q.leastPaS*q.mostPaS), func(mark int, rampPaS float64) float64 {
		o := taken[mark]
		if o == nil {
			at := q.one(marks.PaS(mark))
			fresh := q.boundOf(func(s *thermal.State, p *thermal.Params) thermal.Ends { return q.run(s, p, at, nil).Peaks })
			o, taken[mark] = &fresh, &fresh
		}
		return q.alongK(o, q.one(rampPaS)) - q.goalK
	})
	for slowed := 0; ; slowed++ {
		q.bounds = q.bounds[:0]
		q.aim(q.one(math.Max(found, q.leastPaS)))
		switch {
		case !(found > 0) || q.under(q.one(found), q.goalK+overK):
			return found
		case slowed == slowings:
			return 0
		}
		found, _ = advise.Fastest(q.leastPaS, found, found, func(rampPaS float64) float64 { return q.upperK(q.one(rampPaS)) - q.goalK })
	}
}

// lengthS is how long a course takes, by the moved estimate's pressures.
func (q *search) lengthS(c Course) float64 {
	o := &q.bounds[0]
	return q.run(&o.state, &o.params, c, nil).RampEndS
}

// Where a course's legs may meet, as shares of the way, and the waits tried.
var (
	meets  = []float64{0.15, 0.3, 0.45, 0.6, 0.75, 0.88}
	waitsS = []float64{60, 180, 420}
)

// course is the fastest course of few legs, and how long it takes. It begins from
// the fastest single ramp, and keeps a change only where it pays.
func (q *search) course(rampPaS float64) (Course, float64) {
	best := q.one(math.Max(rampPaS, q.leastPaS))
	lengthS := math.Inf(1)
	if rampPaS > 0 {
		lengthS = q.lengthS(best)
	}
	if rampPaS >= q.mostPaS {
		return best, lengthS
	}
	try := func(before Course) {
		if c, s := q.within(before, payShare*lengthS); c != nil {
			best, lengthS = c, s
		}
	}
	q.firstLegs(rampPaS, func(l thermal.Leg) { try(Course{l}) })
	if len(best) == 2 {
		q.middleLegs(best, try)
	}
	return best, lengthS
}

// within is the course that goes on from others with the fastest last leg, if
// that takes less than mostS; nil when not. The slowest last leg that does is asked
// first, for most fail there.
func (q *search) within(before Course, mostS float64) (Course, float64) {
	c := append(append(Course{}, before...), thermal.Leg{ToPa: q.targetPa})
	last := &c[len(c)-1]
	beforeS, fromPa := 0.0, q.b.Model.AmbientPa
	for _, l := range before {
		if l.RampPaS > 0 {
			beforeS, fromPa = beforeS+(l.ToPa-fromPa)/l.RampPaS, l.ToPa
		}
		beforeS += l.ForS
	}
	last.RampPaS = math.Max(q.leastPaS, (q.targetPa-fromPa)/(mostS-beforeS)) // with no limit: the least
	if mostS <= beforeS || !(last.RampPaS <= q.mostPaS) || !q.under(c, q.goalK) {
		return nil, 0
	}
	last.RampPaS = math.Max(q.lastLeg(before, q.mostPaS), last.RampPaS)
	if s := q.lengthS(c); q.followable(c) && s < mostS {
		return c, s
	}
	return nil, 0
}

// payShare is what a further change of the valve must bring down the time to.
const payShare = 0.97

func (q *search) at(share float64) float64 {
	ambient := q.b.Model.AmbientPa
	return ambient + share*(q.targetPa-ambient)
}

// faster are first ramps as multiples of the single one.
var faster = []float64{1.4, 2, 3, 5, 9}

// firstLegs are the first legs worth a try.
func (q *search) firstLegs(rampPaS float64, try func(thermal.Leg)) {
	for _, times := range faster {
		first := math.Min(times*math.Max(rampPaS, q.leastPaS), q.mostPaS)
		for _, share := range meets {
			if l := (thermal.Leg{RampPaS: first, ToPa: q.at(share)}); q.followable(Course{l}) {
				try(l)
			}
		}
		if first == q.mostPaS {
			return
		}
	}
}

// middleLegs are what may stand between the two legs of a course: a ramp between
// theirs, or a wait.
func (q *search) middleLegs(two Course, try func(Course)) {
	first, last := two[0], two[1]
	for _, s := range waitsS {
		try(Course{first, {ForS: s}})
	}
	mid := math.Sqrt(first.RampPaS * last.RampPaS)
	for _, share := range []float64{0.33, 0.66} {
		to := first.ToPa + share*(q.targetPa-first.ToPa)
		try(Course{first, {RampPaS: mid, ToPa: to}})
	}
}

// followable says that no leg is shorter than a hand can follow.
func (q *search) followable(c Course) bool {
	from := q.b.Model.AmbientPa
	for _, l := range c {
		if l.RampPaS == 0 {
			continue
		}
		if (l.ToPa-from)/l.RampPaS < q.legLeastS {
			return false
		}
		from = l.ToPa
	}
	return true
}
