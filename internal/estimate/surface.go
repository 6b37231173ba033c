package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// Use is what became of a hand-held reading.
type Use uint8

// The uses.
const (
	UseTaken      Use = iota // within what was believed
	UseHotter                // hotter than was believed: taken, and the estimate opened
	UseConfirmed             // colder than was believed, and the second to say so: taken
	UseColder                // colder than was believed: waits for a second one
	UseImpossible            // outside what sun, gas and air allow: not taken
)

// surpriseSigma is how far off a reading surprises the estimate.
const surpriseSigma = 2.5

// A second reading agrees with the first within this and this long after.
const (
	agreesK = 2.0
	agreesS = 600.0
)

// unsettled is a reading that waits for a second one.
type unsettled struct {
	k, timeS  float64
	surpriseK float64 // how far off surprised the estimate before it was opened
	waits     bool
}

// CorrectSurface takes a hand-held reading of the outer skin in. What a person
// reads on the wall outranks what is inferred: a reading hotter than was
// believed counts at once, a colder one when a second agrees with it. The estimate
// of that side opens until its band holds both what was believed and what was
// read, also while the second is waited for.
func (o *Filter) CorrectSurface(place int, surfaceK, timeS float64) Use {
	b := &o.estimate
	if !thermal.ReadingPossible(surfaceK, o.ambientK, b.State.GasK) {
		return UseImpossible
	}
	o.read[place] = true
	innovation := surfaceK - o.surfaceRow(place)
	v := o.variance() + sigmaSurfaceK*sigmaSurfaceK
	surprise := surpriseSigma * math.Sqrt(v)
	if first := o.colder[place]; first.waits {
		surprise = math.Min(surprise, first.surpriseK)
	}
	taken := func() { o.trust.hand.note(innovation * innovation / v) }
	if math.Abs(innovation) <= surprise {
		taken()
		o.colder[place].waits = false
		o.correct(innovation, sigmaSurfaceK, whole)
		return UseTaken
	}
	use := UseHotter
	if innovation < 0 {
		first := o.colder[place]
		if !first.waits || math.Abs(surfaceK-first.k) > agreesK || timeS-first.timeS > agreesS {
			o.colder[place] = unsettled{surfaceK, timeS, surprise, true}
			o.hold(place, innovation) // the band holds both: that they differ widens it no further
			return UseColder
		}
		use = UseConfirmed
	}
	taken()
	o.colder[place].waits = false
	o.open(place, innovation*innovation)
	o.surfaceRow(place)
	o.correct(innovation, sigmaSurfaceK, whole)
	if use == UseHotter {
		o.hold(place, innovation)
	}
	return use
}

// hold opens the estimate of a place until its two-sigma band spans what was
// believed and a reading that far off.
func (o *Filter) hold(place int, innovationK float64) {
	o.surfaceRow(place)
	if left := innovationK*innovationK/4 - o.variance(); left > 0 {
		o.open(place, left)
	}
}

// Waiting is a colder reading of a place that waits for a second one.
func (o *Filter) Waiting(place int) (surfaceK float64, waits bool) {
	return o.colder[place].k, o.colder[place].waits
}

// surfaceRow puts into o.h what a reading of a place says of the state, and
// gives what it should be.
func (o *Filter) surfaceRow(place int) (readK float64) {
	b, l := &o.estimate, &o.estimate.Layout
	pl, last := &b.Model.Places[place], b.Model.Cells-1
	o.clearRow()
	for side := 0; side < l.Sides; side++ {
		_, outer := b.Model.Faces(&b.State, &b.Params, side, o.flow.DensityKgM3, o.flow.InflowKgS)
		share := 1.0
		if d := b.State.Wall[side][last] - b.State.OutK[side]; b.Model.Cells > 1 && math.Abs(d) > 1e-6 {
			share = (outer - b.State.OutK[side]) / d
		}
		part := pl.Sun
		if side == thermal.SideShade {
			part = 1 - pl.Sun
		}
		o.h[l.AtWall(side, last)], o.h[l.AtOut(side)] = part*share, part*(1-share)
	}
	o.h[l.AtLocal(place)], o.h[l.AtExcess()], o.h[l.AtFar()] = 1, pl.OfLayer, pl.OfFar
	outerK := b.Model.At(&b.State, &b.Params, place, o.flow.DensityKgM3, o.flow.InflowKgS).OuterK
	if at := l.AtPar(thermal.ParHand); at >= 0 { // the same in all readings of a day
		for i := range o.h {
			o.h[i] *= 1 - b.Params[thermal.ParHand]
		}
		o.h[at] = o.ambientK - outerK
	}
	return b.Params.HandK(outerK, o.ambientK)
}

// open lets the wall and the outside that a place shows be wrong together by
// further varianceK2. What is wrong in the shade is wrong under the sun as well,
// which shines on top of it.
func (o *Filter) open(place int, varianceK2 float64) {
	b, l, n := &o.estimate, &o.estimate.Layout, o.estimate.Layout.N
	first, part := thermal.SideSun, b.Model.Places[place].Sun
	sides := 1
	if part < 0.5 {
		part, sides = 1, l.Sides
	}
	var at []int
	for side := first; side < first+sides; side++ {
		for i := l.AtWall(side, 0); i <= l.AtOut(side); i++ {
			at = append(at, i)
		}
	}
	for _, i := range at {
		for _, k := range at {
			b.Cov[i*n+k] += varianceK2 / (part * part)
		}
	}
}
