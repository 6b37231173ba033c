package plan

import (
	"math"

	"fillwright/internal/thermal"
)

// bound is the upper two-sigma bound of a peak, read off with one run, as the
// live advice has it: the estimate moved along the worst direction (first-order
// reliability; Hasofer & Lind 1974, from memory).
type bound struct {
	state  thermal.State
	params thermal.Params
	valueK float64 // the peak itself, where the direction was taken
	bandK  float64 // two sigma of it
	sigmaK float64
	slackK float64 // what a run along the direction makes too little of the peak
	reach  float64 // how many sigma it goes
}

// settlesS is how long the sky may go its own way unanswered in a fill, as in the
// live advice.
const settlesS = 60.0

// boundOf finds the worst direction of a figure in kelvin.
func (a *ahead) boundOf(figure func(*thermal.State, *thermal.Params) thermal.Ends) bound {
	b := a.b
	a.root.Factorize(b)
	along := make([]float64, b.Layout.N)
	value, sigma := b.WorstDirection(&a.root, figure, along)
	o := bound{valueK: value, sigmaK: sigma, bandK: b.Band(sigma, settlesS), reach: b.Reach()}
	for i := range along {
		along[i] *= o.reach
	}
	o.state, o.params = b.Moved(along)
	s, p := o.state, o.params
	o.slackK = math.Max(0, value+o.reach*sigma-figure(&s, &p).HottestK())
	return o
}

// moreK is what the bound adds to a wall that a run of the moved estimate shows.
func (a *ahead) moreK(o *bound, inS float64) float64 {
	return o.slackK + a.b.Band(o.sigmaK, inS) - o.reach*o.sigmaK
}

// aim takes the worst direction of a course's peak.
func (a *ahead) aim(c Course) *bound {
	o := a.boundOf(func(s *thermal.State, p *thermal.Params) thermal.Ends { return a.run(s, p, c, nil).Peaks })
	a.bounds = append(a.bounds, o)
	return &a.bounds[len(a.bounds)-1]
}

// upperK is the bound of a course's peak: the largest along the directions taken.
func (a *ahead) upperK(c Course) float64 {
	up := math.Inf(-1)
	for i := range a.bounds {
		up = math.Max(up, a.alongK(&a.bounds[i], c))
	}
	return up
}

func (a *ahead) alongK(o *bound, c Course) float64 {
	return a.run(&o.state, &o.params, c, nil).PeakK + a.moreK(o, settlesS)
}

// under tells whether the bound stays at or under a temperature; an unknown one
// does not. The newest direction is asked first.
func (a *ahead) under(c Course, goalK float64) bool {
	for i := len(a.bounds) - 1; i >= 0; i-- {
		if !(a.alongK(&a.bounds[i], c) <= goalK) {
			return false
		}
	}
	return len(a.bounds) > 0
}
