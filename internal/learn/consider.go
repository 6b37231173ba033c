package learn

import (
	"math"
	"slices"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// A far end that no fill read. What bead and sensors within the jet's reach read
// off has causes enough of its own to make up for it: on invented vessels a fit
// with all of that end unmixed and one with none of it lay as near to the
// readings, and a free parameter came out near nothing beside either truth. So it
// is a consider parameter (Schmidt 1966, from memory): held at its mean, with all
// of its prior in the covariance, and what the others would be if it were
// otherwise beside it.

// mixGoes is the correlation of how much of the far end is unmixed and how long it
// stays so: with all of it unmixed, it mixes in twice the usual time. Common practice,
// no source.
const mixGoes = 0.6

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

// considers tells whether a parameter is considered, not fitted.
func (f *fitter) considers(i int) bool {
	return f.unread && (i == thermal.ParFar || i == thermal.ParLnMix)
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

// consider puts what is not known of the far end into the covariance of a fit: its
// prior, and by how much the fitted parameters go with it, from a second fit with
// that end two sigma hotter. A difference over all of that, since a wall there goes
// by its product with the film.
func (f *fitter) consider(x []float64, o *Outcome) {
	_, mix := f.prior(thermal.ParLnMix)
	_, far := f.prior(thermal.ParFar)
	if !(far > 0) {
		return
	}
	o.FarUnread = thermal.Unmixed(f.vessel) >= 0.5
	o.Cov[thermal.ParLnMix][thermal.ParLnMix] = (1 - mixGoes*mixGoes) * mix * mix
	var goes thermal.Params
	goes[thermal.ParFar], goes[thermal.ParLnMix] = far, mixGoes*mix
	hotter := *f
	hotter.base[thermal.ParFar] += 2 * goes[thermal.ParFar]
	hotter.base[thermal.ParLnMix] += 2 * goes[thermal.ParLnMix]
	// Where that fit has no answer, the prior alone counts: the end itself stays as
	// wide, and nothing is claimed of what would go with it.
	if res, err := hotter.fit(x); err == nil {
		for k, i := range f.free {
			goes[i] = 0.5 * (res.X[k] - x[k])
		}
	}
	for i, a := range goes {
		for k, b := range goes {
			o.Cov[i][k] += a * b
		}
		o.StdErr[i] = math.Sqrt(o.Cov[i][i])
	}
}
