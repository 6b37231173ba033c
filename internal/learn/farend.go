package learn

import (
	"math"
	"slices"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// A far end that no fill read. Gas that is unmixed there leaves the rest colder by its
// share, so that bead, mass balance and what a hold keeps of its gas tell of it, but
// not of it alone: a stem that draws heat off, gas that comes in cold and layers read
// much the same.

// farFitTimes is how many times wider than by the fit alone such an end is believed, up
// to what was not known of it before. On 52 invented vessels with such ends and without,
// learned blind, the fit was off by up to 3.4 of its sigmas, and low where an end was
// unmixed; of what bends it alike in each fill, its own scatter shows nothing. Common
// practice, no source. Of an end that was read it takes less: there the wall at its peak
// was off by 1.5 of the estimate's sigmas on sixteen of them, and low in each.
const (
	farFitTimes  = 1.7
	farReadTimes = 1.3
)

// farUnread tells whether a vessel has an end beyond the jet's reach of which no
// fill has a reading.
func farUnread(fills []*prepared) bool {
	for _, p := range fills {
		if !(p.model.FarShare > 0) || p.model.BeadFar || p.readsFar() {
			return false
		}
	}
	return true
}

// readsFar tells whether a fill has a reading of the wall at a far end.
func (p *prepared) readsFar() bool {
	return slices.ContainsFunc(p.readsAt, func(at int) bool { return at >= 0 && p.model.Places[at].OfFar > 0 })
}

// prior is what is known of a parameter before the fit.
func (f *fitter) prior(i int) (mean, sigma float64) {
	if f.unread {
		mean, sigma = wallmodel.PriorUnread(f.vessel, f.variant, i)
	} else {
		mean, sigma = wallmodel.PriorFor(f.vessel, f.variant, i)
	}
	return mean, hanging(i, sigma)
}

// hangsSigma is one sigma of what a probe loses beside stem and radiation by where among
// the layers of gas it hangs, as a share of gas minus wall: half a spread of 0.2 (0.06 to
// 0.47 where it was measured, internal/wallmodel/testdata) times 0.4 of the way up or
// down. Common practice, no source. Before any fill the wide scatter of film and inflow
// holds it; a fit that leaves it out bends them.
const hangsSigma = 0.08

// hanging is the sigma of a parameter with that.
func hanging(i int, sigma float64) float64 {
	if i == thermal.ParBeadLoss && sigma > 0 {
		return math.Hypot(sigma, hangsSigma)
	}
	return sigma
}

// doubtFar widens what a fit has of a far end, and all that goes with it.
func (f *fitter) doubtFar(o *Outcome) {
	widens := farReadTimes
	if f.unread {
		o.FarUnread, widens = thermal.Unmixed(f.vessel) >= 0.5, farFitTimes
	}
	for _, i := range []int{thermal.ParFar, thermal.ParLnMix} {
		_, sigma := f.prior(i)
		if !(o.StdErr[i] > 0) {
			continue
		}
		times := math.Max(1, math.Min(widens, sigma/o.StdErr[i]))
		for k := range o.Cov {
			o.Cov[i][k] *= times
			o.Cov[k][i] *= times
		}
		o.StdErr[i] *= times
	}
}
