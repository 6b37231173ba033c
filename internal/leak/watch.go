// Package leak tells gas that leaves from gas that cools. The inventory of a
// vessel that stands shut is followed: cooling leaves it as it is, a leak
// drains it.
package leak

import (
	"math"

	"fillwright/internal/line"
	"fillwright/internal/phase"
)

// Verdict is what a look at a hold has found.
type Verdict struct {
	RateKgS     float64 // positive: gas leaves; NaN: not known yet
	BandKgS     float64 // two sigma
	RatePaS     float64 // the same at settled temperature
	Significant bool
}

// Unknown is the verdict before a look.
func Unknown() Verdict { return Verdict{RateKgS: math.NaN(), BandKgS: math.NaN(), RatePaS: math.NaN()} }

// Point is a hold at one time.
type Point struct {
	TimeS     float64 // session time
	MassKg    float64 // gas in the vessel
	GasK      float64
	SettledPa float64 // absolute, once gas and wall have settled, of SettledKg
	SettledKg float64
	Long      bool // part of the gas lies beyond the jet's reach
}

// watch keeps one point a second in a bounded ring.
type watch struct {
	nextS  float64
	shutS  float64 // when the gas stopped coming in
	t, m   [keep]float64
	gas    [keep]float64
	n      int
	latest Point
}

const (
	keep  = 240  // seconds of hold that are looked back on
	spanS = 30.0 // shortest span that a verdict is given on
	// Drift of the gas estimate against the mean of the gas, over whatever span, one
	// sigma: one bead in gas that lies in layers tells its own place. In the tight
	// holds of 25 fills of a scheme with zones and layers of gas (own calculation, no
	// published source) it was 0.2 to 0.6 K rms over 1 to 4 minutes; at 0.1 K six holds
	// were called leaks.
	tempK    = 0.30
	tempPart = 0.12 // part of the gas's change that may be estimation error, one sigma
	// Gas that a fast fill left hot at one end goes on mixing: the bead came to rest
	// while the mean still fell by 1 to 3 K in half a minute, a minute after the fill
	// (the same calculation), with such a time. Where the jet reaches all of the gas
	// it was less than 1 K.
	mixK    = 1.0
	mixFarK = 2.5
	mixS    = 45.0
	correlS = 4.0 // correlation time of the estimate's noise
)

func (w *watch) restart(t float64) { *w = watch{nextS: t + phase.StirredS, shutS: t} }

// add keeps a point once a second.
func (w *watch) add(p Point) (fresh bool) {
	if p.TimeS < w.nextS {
		return false
	}
	w.nextS = p.TimeS + 1
	if w.n == keep {
		copy(w.t[:], w.t[1:])
		copy(w.m[:], w.m[1:])
		copy(w.gas[:], w.gas[1:])
		w.n--
	}
	w.t[w.n], w.m[w.n], w.gas[w.n] = p.TimeS, p.MassKg, p.GasK
	w.n++
	w.latest = p
	return true
}

func (w *watch) spanS() float64 {
	if w.n == 0 {
		return 0
	}
	return w.t[w.n-1] - w.t[0]
}

// verdict fits the inventory's loss. Its uncertainty is that of the fit, with
// the noise's correlation minded, that of a gas temperature whose error drifts
// while the gas cools and mixes, and by how much the loss has slowed: gas that
// mixes comes to rest, a leak goes on.
func (w *watch) verdict() (v Verdict, ok bool) {
	span := w.spanS()
	if w.n < 8 || span < spanS {
		return Unknown(), false
	}
	loss, fit := w.loss(0, w.n)
	drift := tempK + tempPart*math.Abs(w.gas[w.n-1]-w.gas[0])
	mix := mixK
	if w.latest.Long {
		mix = mixFarK
	}
	mix *= math.Exp((w.shutS - w.t[0]) / mixS)
	sys := w.m[w.n-1] / w.gas[w.n-1] * math.Hypot(drift, mix) / span
	early, earlyFit := w.loss(0, w.n/2)
	late, lateFit := w.loss(w.n/2, w.n)
	slowed := math.Max(0, early-late-math.Hypot(earlyFit, lateFit))
	band := 2*math.Hypot(fit, sys) + slowed
	return Verdict{
		RateKgS: loss, BandKgS: band, Significant: loss > band,
		RatePaS: loss * w.latest.SettledPa / w.latest.SettledKg,
	}, true
}

// loss fits the loss between two points, kg/s, with one sigma of the fit.
func (w *watch) loss(from, to int) (rate, sigma float64) {
	t := w.t[from:to]
	l := line.Fit(t, w.m[from:to], t[0])
	inflate := math.Max(1, correlS*float64(len(t)-1)/(t[len(t)-1]-t[0]))
	return -l.Slope, l.SSlope * math.Sqrt(inflate)
}
