package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// trust holds what the readings say of the estimate's own band: the normalised
// innovation squared, of which the mean is one when the band is right
// (Bar-Shalom, Li & Kirubarajan 2001, from memory). Readings of one sensor are
// averaged over the time that its errors last, so that each mean counts once.
type trust struct {
	bead innovations
	// of a second gas probe
	second innovations
	skin   [thermal.PlacesMost]innovations
	hand   squares
}

// Windows of the check. Common practice, no source.
const (
	trustWindowS = beadCorrelationS
	trustKeep    = 4   // windows, or readings, that are looked back on
	trustLeast   = 2   // before a verdict
	trustMost    = 2.5 // a mean square above this says: too sure (chi squared, four of them: one in 25)
	widenMost    = 3.0
)

// innovations averages what one sensor reads off the estimate.
type innovations struct {
	sum, variance, forS float64
	n                   float64
	squares             squares
}

// add takes one innovation of the given variance, dtS after the one before.
func (w *innovations) add(innovation, variance, dtS float64) {
	if math.IsNaN(innovation) || math.IsNaN(variance) {
		return
	}
	w.sum, w.variance, w.n, w.forS = w.sum+innovation, w.variance+variance, w.n+1, w.forS+dtS
	if w.forS < trustWindowS {
		return
	}
	mean := w.sum / w.n
	w.squares.note(mean * mean / (w.variance / w.n))
	w.sum, w.variance, w.n, w.forS = 0, 0, 0, 0
}

// squares keeps the last few normalised squares.
type squares struct {
	last [trustKeep]float64
	n    int
}

func (q *squares) note(square float64) {
	q.last[q.n%trustKeep] = square
	q.n++
}

// factor is how much wider the band should be, 1 when there is nothing to say.
func (q *squares) factor() float64 {
	n := min(q.n, trustKeep)
	if n < trustLeast {
		return 1
	}
	var sum float64
	for _, s := range q.last[:n] {
		sum += s
	}
	if mean := sum / float64(n); mean > trustMost {
		return math.Min(math.Sqrt(mean), widenMost)
	}
	return 1
}

// TooSure is the factor by which the readings say that the band should be wider,
// and whose readings say so most: -1 the gas probe, -2 the hand-held ones, else
// the place of a skin sensor.
func (o *Filter) TooSure() (factor float64, who int) {
	factor, who = o.trust.bead.squares.factor(), SaysBead
	if f := o.trust.second.squares.factor(); f > factor {
		factor = f
	}
	for i := range o.trust.skin {
		if f := o.trust.skin[i].squares.factor(); f > factor {
			factor, who = f, i
		}
	}
	if f := o.trust.hand.factor(); f > factor {
		factor, who = f, SaysHand
	}
	return factor, who
}

// Who says that the estimate is too sure, where it is no skin sensor.
const (
	SaysBead = -1
	SaysHand = -2
)
