package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/line"
	"fillwright/internal/phase"
)

// leakWatch follows the gas inventory through a hold: cooling leaves it as it
// is, a leak drains it. It keeps one point a second in a bounded ring.
type leakWatch struct {
	startS float64
	nextS  float64
	t, m   [leakKeep]float64
	gas    [leakKeep]float64
	n      int
}

const (
	leakKeep     = 240  // seconds of hold that are looked back on
	leakSpanS    = 30.0 // shortest span that a verdict is given on
	leakTempK    = 0.10 // drift of the gas estimate that no model error explains, one sigma
	leakTempPart = 0.12 // part of the gas's change that may be estimation error, one sigma
	leakCorrelS  = 4.0  // correlation time of the estimate's noise
)

func unknownLeak() advise.Leak {
	nan := math.NaN()
	return advise.Leak{RateKgS: nan, BandKgS: nan, RatePaS: nan}
}

func (w *leakWatch) restart(t float64) { *w = leakWatch{startS: t, nextS: t + phase.StirredS} }

// add keeps a point once a second.
func (w *leakWatch) add(t, massKg, gasK float64) (fresh bool) {
	if t < w.nextS {
		return false
	}
	w.nextS = t + 1
	if w.n == leakKeep {
		copy(w.t[:], w.t[1:])
		copy(w.m[:], w.m[1:])
		copy(w.gas[:], w.gas[1:])
		w.n--
	}
	w.t[w.n], w.m[w.n], w.gas[w.n] = t, massKg, gasK
	w.n++
	return true
}

// rate fits the inventory's loss. Its uncertainty is that of the fit, with
// the noise's correlation minded, and that of a gas temperature whose error
// drifts while the gas cools.
func (w *leakWatch) rate() (lossKgS, bandKgS float64, ok bool) {
	if w.n < 8 || w.t[w.n-1]-w.t[0] < leakSpanS {
		return math.NaN(), math.NaN(), false
	}
	l := line.Fit(w.t[:w.n], w.m[:w.n], w.t[0])
	span := w.t[w.n-1] - w.t[0]
	inflate := math.Max(1, leakCorrelS*float64(w.n-1)/span)
	fit := l.SSlope * l.SSlope * inflate
	drift := leakTempK + leakTempPart*math.Abs(w.gas[w.n-1]-w.gas[0])
	sys := w.m[w.n-1] / w.gas[w.n-1] * drift / span
	return -l.Slope, 2 * math.Sqrt(fit+sys*sys), true
}

// watchLeak brings the leak verdict up to date during a hold.
func (m *Monitor) watchLeak(t float64) {
	if m.snap.Phase != phase.Holding {
		return
	}
	b := m.filter.Estimate()
	flow := m.filter.Flow()
	massKg := b.Model.MassKg(b.State.GasK, flow.PressurePa)
	rateOf := func(w *leakWatch) (advise.Leak, bool) {
		loss, band, ok := w.rate()
		if !ok {
			return unknownLeak(), false
		}
		return advise.Leak{
			RateKgS: loss, BandKgS: band, Significant: loss > band,
			RatePaS: loss * b.Model.SettledPa(&b.State, &b.Params, flow.MassKg) / flow.MassKg,
		}, true
	}
	if m.leak.add(t, massKg, b.State.GasK) {
		m.found, _ = rateOf(&m.leak)
	}
	if m.call.looks && m.call.look.add(t, massKg, b.State.GasK) {
		m.judgeSecondLook(rateOf)
	}
}
