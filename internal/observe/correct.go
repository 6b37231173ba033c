package observe

import (
	"math"

	"fillwright/internal/thermal"
)

// CorrectGas folds the bead in, once every dtS.
func (o *Observer) CorrectGas(beadK, dtS float64) {
	b := &o.belief
	o.clearRow()
	o.h[thermal.AtBead], o.h[b.Layout.AtBias()] = 1, 1
	o.bias = beadK - b.State.BeadK - b.BiasK
	u := o.unmixedK() / sigmaBeadK
	if !o.correct(o.bias, perStep(sigmaBeadK, beadCorrelationS, dtS), 1/(1+u*u), false) {
		return
	}
	if math.Abs(o.bias) > 4*sigmaBeadK {
		o.disagree += dtS
	} else {
		o.disagree = math.Max(0, o.disagree-2*dtS)
	}
}

// unmixedK is one sigma of what the gas balance is wrong by while gas comes in
// and has not mixed yet: a share of how far the gas stands over the wall, less
// the more gas there is. The bead corrects the gas for it all the same, but
// says that much less of the wall. Common practice, no source.
func (o *Observer) unmixedK() float64 {
	if !(o.flow.InflowKgS > 0) || !(o.flow.DensityKgM3 > 0) {
		return 0
	}
	over := math.Abs(o.belief.State.GasK - o.belief.State.Wall[0][0])
	return unmixedShare * over * math.Min(1, unmixedKgM3/o.flow.DensityKgM3)
}

const (
	unmixedShare = 0.1
	unmixedKgM3  = 16.0
)

// Correlation times: noise, quantising and stem errors of a sensor do not
// average out from one reading to the next, so a reading a dtS later counts
// for only that share of one.
const (
	beadCorrelationS = 1.0
	skinCorrelationS = 10.0
	weightMost       = 60.0
)

func perStep(sigma, correlationS, dtS float64) float64 {
	return sigma * math.Sqrt(math.Min(math.Max(1, correlationS/dtS), weightMost))
}

// CorrectSkin folds an attached skin sensor in, once every dtS.
func (o *Observer) CorrectSkin(station int, skinK, dtS float64) {
	b := &o.belief
	if !b.Layout.Skin[station] {
		return
	}
	o.clearRow()
	o.h[b.Layout.AtSkin(station)] = 1
	o.correct(skinK-b.State.SkinK[station], perStep(sigmaSkinK, skinCorrelationS, dtS), 1, false)
}

// CorrectSurface folds a hand-held reading of the outer skin in. A reading
// that no likely wall could show is refused, and the estimate stays.
func (o *Observer) CorrectSurface(station int, skinK float64) (accepted bool) {
	b, l := &o.belief, &o.belief.Layout
	o.clearRow()
	_, outer := b.Model.Faces(&b.State, &b.Params, station, o.flow.DensityKgM3, o.flow.InflowKgS)
	last := l.AtWall(station, b.Model.Cells-1)
	share := 1.0
	if d := b.State.Wall[station][b.Model.Cells-1] - b.State.OutK[station]; b.Model.Cells > 1 && math.Abs(d) > 1e-6 {
		share = (outer - b.State.OutK[station]) / d
	}
	o.h[last], o.h[l.AtOut(station)] = share, 1-share
	return o.correct(skinK-outer, sigmaSurfaceK, 1, true)
}

// Disagree tells whether the bead and the gas balance have contradicted each
// other for longer than a transient would, and by how much.
func (o *Observer) Disagree() (yes bool, byK float64) {
	return o.disagree > disagreeTimS, o.bias
}

// Estimate is a temperature with its two-sigma band.
type Estimate struct{ ValueK, BandK float64 }

// Wall is the hottest place, the faces and the band of one station.
type Wall struct {
	Hottest        Estimate
	InnerK, OuterK float64
}

// Walls is the present estimate of every station.
func (o *Observer) Walls(out []Wall) {
	b := &o.belief
	rho, in := o.flow.DensityKgM3, o.flow.InflowKgS
	o.root.Take(b)
	for i := range out {
		w := &out[i]
		w.InnerK, w.OuterK = b.Model.Faces(&b.State, &b.Params, i, rho, in)
		var sigma float64
		w.Hottest.ValueK, sigma = b.Spread(&o.root, func(s *thermal.State, p *thermal.Params) float64 {
			return b.Model.Hottest(s, p, i, rho, in)
		}, o.h)
		w.Hottest.BandK = b.Band(sigma, b.State.GasK-w.Hottest.ValueK)
	}
}

// GasBandK is two sigma of the bulk gas temperature.
func (o *Observer) GasBandK() float64 {
	n := o.belief.Layout.N
	return 2 * math.Sqrt(o.belief.Cov[thermal.AtGas*n+thermal.AtGas])
}
