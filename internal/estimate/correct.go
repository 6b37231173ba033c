package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// CorrectGas folds the bead in, once every dtS.
func (o *Filter) CorrectGas(beadK, dtS float64) {
	b := &o.estimate
	o.clearRow()
	o.h[thermal.AtBead], o.h[b.Layout.AtBias()] = 1, 1
	o.bias = beadK - b.State.BeadK - b.BiasK
	o.trust.bead.add(o.bias, o.variance()+sigmaBeadK*sigmaBeadK, dtS)
	o.correctBead(func() float64 { return beadK - b.State.BeadK - b.BiasK }, sigmaBeadK, dtS, false)
	if math.Abs(o.bias) > 4*sigmaBeadK {
		o.disagree += dtS
	} else {
		o.disagree = math.Max(0, o.disagree-2*dtS)
	}
}

// CorrectSecond folds the bead of a second gas probe in, once every dtS. It sees the
// gas of its own end, but for a share that is local and lasts.
func (o *Filter) CorrectSecond(beadK, dtS float64) {
	b := &o.estimate
	at, off, ok := b.Layout.AtSecond()
	if !ok {
		return
	}
	o.clearRow()
	o.h[at], o.h[off] = 1, 1
	overK := math.Abs(b.State.SecondK - b.State.Wall[0][0])
	sigma, most := math.Hypot(sigmaBeadK, localShare*overK), math.Hypot(sigmaBeadK, localMost*overK)
	innovation := func() float64 { return beadK - b.State.SecondK - b.State.SecondOffK }
	o.trust.second.add(innovation(), o.variance()+most*most, dtS)
	o.correctBead(innovation, sigma, dtS, b.Model.SecondFar)
}

// correctBead folds a bead in, whose row is o.h. What it shows of other things than
// the wall is noise to the wall, its outside and what they go by, and none to the gas
// about it: so much of what it says as that noise leaves goes to both, and the rest of
// it to the gas alone. Beyond the jet's reach, far, gas that is not mixed has a state of
// its own and is no noise.
func (o *Filter) correctBead(innovation func() float64, sigmaK, dtS float64, far bool) {
	otherK := o.thinK()
	if !far {
		otherK = math.Hypot(otherK, o.unmixedK())
	}
	sigma, other := perStep(sigmaK, beadCorrelationS, dtS), perStep(otherK, beadCorrelationS, dtS)
	both := math.Hypot(sigma, other)
	o.correct(innovation(), both, corrects{true, true, far})
	if other > otherLeast*sigma {
		o.correct(innovation(), sigma*both/other, corrects{true, false, far}) // 1/σ² less 1/(σ² + other²)
	}
}

// otherLeast is such noise, as a share of the bead's own, that leaves nothing for a
// second correction.
const otherLeast = 1e-3

// localShare is one sigma of what the gas about a second probe stands over the mean
// of its end, as a share of gas minus wall; more than localMost of that says that the
// estimate is too sure. Half the spread of the gas was 0.06 to 0.47 of it where it was
// measured (internal/wallmodel/testdata).
const (
	localShare = 0.1
	localMost  = 0.25
)

// unmixedK is one sigma of what the gas balance is wrong by while gas comes in
// and has not mixed yet: a share of how far the gas stands over the wall, less
// the more gas there is. The bead corrects the gas for it all the same, but
// says that much less of the wall. Common practice, no source.
func (o *Filter) unmixedK() float64 {
	if !(o.flow.InflowKgS > 0) || !(o.flow.DensityKgM3 > 0) {
		return 0
	}
	over := math.Abs(o.estimate.State.GasK - o.estimate.State.Wall[0][0])
	return unmixedShare * over * math.Min(1, unmixedKgM3/o.flow.DensityKgM3)
}

const (
	unmixedShare = 0.1
	unmixedKgM3  = 16.0
	thinKKgM3    = 3.6
)

// thinK is one sigma of what a bead in thin gas shows of things other than the
// wall: its stem, what it sees, air that wanders in through an open vent. In a
// vented vessel that is some 3 K, and the bead says next to nothing of the
// wall. Common practice, no source.
func (o *Filter) thinK() float64 {
	if !(o.flow.DensityKgM3 > 0) {
		return 0
	}
	return thinKKgM3 / o.flow.DensityKgM3
}

// Correlation times: noise, quantising and stem errors of a sensor do not
// average out from one reading to the next, so a reading a dtS later counts
// for only that share of one.
const (
	beadCorrelationS = 20.0
	skinCorrelationS = 10.0
	weightMost       = 100.0
)

func perStep(sigma, correlationS, dtS float64) float64 {
	return sigma * math.Sqrt(math.Min(math.Max(1, correlationS/dtS), weightMost))
}

// CorrectSkin folds an attached skin sensor in, once every dtS.
func (o *Filter) CorrectSkin(place int, skinK, dtS float64) {
	b := &o.estimate
	if !b.Layout.Skin[place] || math.IsNaN(skinK) {
		return
	}
	o.clearRow()
	o.h[b.Layout.AtSkin(place)] = 1
	innovation := skinK - b.State.SkinK[place]
	o.read[place] = true
	o.trust.skin[place].add(innovation, o.variance()+sigmaSkinK*sigmaSkinK, dtS)
	o.correct(innovation, perStep(sigmaSkinK, skinCorrelationS, dtS), o.beside)
}

// Disagree tells whether the bead and the gas balance have contradicted each
// other for longer than a transient would, and by how much.
func (o *Filter) Disagree() (yes bool, byK float64) {
	return o.disagree > disagreeTimS, o.bias
}

// Banded is a temperature with its two-sigma band.
type Banded struct{ ValueK, BandK float64 }

// Wall is the hottest place through the wall at a station, its faces and band.
type Wall struct {
	Hottest        Banded
	InnerK, OuterK float64
	Read           bool // a sensor or a person has read it: more is known of it than of any place
}

// Walls is the present estimate at every station, and of the hottest place of
// the whole wall, whether anybody reads it or not. Their bands, and those of all
// that is read off the estimate until the next call, are doubt times as wide as
// the covariance has them, at least once.
func (o *Filter) Walls(doubt float64, out []Wall) (hottest Banded) {
	b := &o.estimate
	b.BandFactor = doubt
	o.root.Factorize(b)
	n := len(out)
	var at [thermal.PlacesMost]thermal.PlaceK
	var sigma [thermal.PlacesMost + 1]float64
	hottestK := b.PropagatedWalls(&o.root, o.flow.DensityKgM3, o.flow.InflowKgS, at[:n], sigma[:n+1])
	for i := range out {
		out[i] = Wall{Banded{at[i].HottestK, b.Band(sigma[i], 0)}, at[i].InnerK, at[i].OuterK, o.read[i]}
	}
	return Banded{hottestK, b.Band(sigma[n], 0)}
}

// GasBandK is two sigma of the bulk gas temperature.
func (o *Filter) GasBandK() float64 {
	n := o.estimate.Layout.N
	return 2 * math.Sqrt(o.estimate.Cov[thermal.AtGas*n+thermal.AtGas])
}
