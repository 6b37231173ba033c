package advise

import (
	"math"

	"fillwright/internal/wording"
)

// Before gas has come in nothing tells how this wall takes a ramp that nobody has
// tried on it: what a film and a jet do there is the model's word alone. So none is
// offered that is much faster than what was seen, or that leaves a hand no time to
// do what it is told. Common practice, no source.
const (
	overSeen       = 1.75 // times the fastest ramp that was seen
	reactionsAFill = 5.0  // a fill lasts at least so many reaction times
)

// FirstMostPaS is the fastest ramp of a fill by risePa that may be offered before its
// first gas, and why it is no faster. Learned is the fastest ramp of the fills behind
// the model, 0: there are none.
func FirstMostPaS(learnedPaS, risePa, reactionS float64) (mostPaS float64, why wording.Text) {
	mostPaS, why = SeenMostPaS(learnedPaS), wording.FastestLearned(learnedPaS)
	if byHand := risePa / (reactionsAFill * reactionS); byHand > 0 && byHand < mostPaS {
		mostPaS, why = byHand, wording.HandTime
	}
	return mostPaS, why
}

// SeenMostPaS is the fastest ramp that may be offered where the fastest that was seen
// is this; +Inf where none was.
func SeenMostPaS(seenPaS float64) float64 {
	if !(seenPaS > 0) {
		return math.Inf(1)
	}
	return overSeen * seenPaS
}

// mostPaS is the fastest ramp that may be offered.
func (q *Query) mostPaS() float64 {
	if q.CapPaS > 0 {
		return math.Max(math.Min(q.RampMost, q.CapPaS), q.RampLeast)
	}
	return q.RampMost
}
