package advise

import "math"

const (
	crossingLn   = 0.002 // width of an answer: 0.2 %
	walkLn       = 0.03  // first step from where the answer was
	walkGrows    = 4.0   // each step so many times longer
	crossingMost = 40    // evaluations
)

// Fastest is the fastest ramp from least to most whose excess, which is over 0
// where the ramp is too fast or nothing is known, is at most 0, to the width of an
// answer on the slow side; ok is false when not even the least one does. It looks
// near a ramp first, and takes 1 for slower and faster ways alike.
func Fastest(leastPaS, mostPaS, nearPaS float64, excess func(rampPaS float64) float64) (rampPaS float64, ok bool) {
	if nearPaS >= mostPaS && excess(mostPaS) <= 0 {
		return mostPaS, true
	}
	low, most := math.Log(leastPaS), math.Log(mostPaS)
	under := excess(leastPaS)
	if !(under <= 0) {
		return 0, false
	}
	least, high, over := low, math.Inf(1), math.NaN()
	at := math.Min(math.Max(math.Log(nearPaS), low), most)
	for step := walkLn; !(high <= most) || low == least && at > low; step *= walkGrows {
		switch f := excess(math.Exp(at)); {
		case f <= 0 && at >= most:
			return mostPaS, true
		case f <= 0:
			low, under, at = at, f, math.Min(at+step, most)
		default:
			high, over, at = at, f, at-step
		}
	}
	for i := 0; high-low > crossingLn && i < crossingMost; i++ {
		at = low + (high-low)*under/(under-over)
		if !(at > low && at < high) || i%3 == 2 { // not known there, or a secant that hangs at an end
			at = 0.5 * (low + high)
		}
		at = math.Min(math.Max(at, low+crossingLn/2), high-crossingLn/2)
		if f := excess(math.Exp(at)); f <= 0 {
			low, under = at, f
		} else {
			high, over = at, f
		}
	}
	return math.Max(math.Exp(low), leastPaS), true
}
