package clock

import (
	"math"
	"slices"
)

// drift is how fast the difference arrival − device time grows: 10 ms/s where
// the device's clock loses a hundredth. Each second has its least difference; the
// growth from one second to the next is averaged over those that are near the
// median, so that a stall, a burst or a jump, which are no drift, do not count.
type drift struct {
	begun  bool
	fromMS float64            // since when the second under way lasts
	least  point              // of it
	before point              // of the second before it; diff NaN: there was none
	growth [driftKeep]float64 // ms/s
	overS  [driftKeep]float64 // over which it was measured
	n      int                // of growth, at most driftKeep
	next   int
	long   float64 // growth in ms/s over all that is kept
	short  float64 // … over the last driftShort
}

const (
	driftKeep  = 60
	driftShort = 10
	driftMost  = 20.0 // ms/s: two per cent, what is followed
	nearMS     = 40.0 // in a second, of the median
	gapS       = 5.0  // over a longer gap anything may have happened
	unsureMS   = 60.0 // of the first and the last of the averaged differences together
)

// point is a difference and when it was measured.
type point struct{ atMS, diff float64 }

func (d *drift) add(nowMS, diffMS float64) {
	is := point{nowMS, diffMS}
	switch {
	case !d.begun:
		d.begun, d.fromMS, d.least, d.before.diff = true, nowMS, is, math.NaN()
	case nowMS-d.fromMS >= 1000:
		d.close()
		d.fromMS, d.least = nowMS, is
	case diffMS < d.least.diff:
		d.least = is
	}
}

// close ends a second, which is longer where samples are rare.
func (d *drift) close() {
	overS := (d.least.atMS - d.before.atMS) / 1000
	if g := (d.least.diff - d.before.diff) / overS; !math.IsNaN(g) && overS < gapS {
		d.growth[d.next], d.overS[d.next] = g, overS
		d.next = (d.next + 1) % driftKeep
		d.n = min(d.n+1, driftKeep)
		d.long, d.short = d.mean(d.n), d.mean(min(d.n, driftShort))
	}
	d.before = d.least
}

// mean is the mean of the last n growths that are near their median.
func (d *drift) mean(n int) float64 {
	var sorted [driftKeep]float64
	for i := range n {
		sorted[i] = d.growth[d.back(i)]
	}
	slices.Sort(sorted[:n])
	median := (sorted[(n-1)/2] + sorted[n/2]) / 2
	grown, overS := 0.0, 0.0
	for i := range n {
		g, s := d.growth[d.back(i)], d.overS[d.back(i)]
		if math.Abs(g-median) <= nearMS {
			grown, overS = grown+g*s, overS+s
		}
	}
	if overS == 0 {
		return median
	}
	return grown / overS
}

// back is the place of the growth i before the newest.
func (d *drift) back(i int) int { return (d.next - 1 - i + driftKeep) % driftKeep }

// share is the drift that is followed, as a share of time.
func (d *drift) share() float64 {
	if d.n < driftShort {
		return 0
	}
	return math.Max(-driftMost, math.Min(driftMost, d.long)) / 1000
}

// off tells whether the clock runs off by more than is followed, beyond what
// the measurement may be wrong by, and how many seconds it makes in one.
func (d *drift) off() (rate float64, off bool) {
	if d.n < driftShort {
		return 1, false
	}
	if beyond(d.short, driftShort) {
		return 1 - d.short/1000, true
	}
	return 1 - d.long/1000, beyond(d.long, d.n) && beyond(d.short, d.n)
}

func beyond(growth float64, n int) bool {
	return math.Abs(growth) > driftMost+unsureMS/float64(n)
}
