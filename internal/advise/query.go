package advise

import (
	"math"

	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// Query is the present situation. Pressures are absolute Pa here.
type Query struct {
	Estimate   *thermal.Estimate
	TimeS      float64     // session time; only its differences count
	Phase      phase.Phase // never Unknown
	PressurePa float64
	RampPaS    float64 // present
	AmbientK   float64
	TargetPa   float64
	ZeroBandPa float64 // two sigma of the pressure's zero: so much more may be in the vessel
	OnsetK     float64
	ReserveK   float64
	ReactionS  float64
	RampLeast  float64 // Pa/s
	RampMost   float64
	CapPaS     float64      // no ramp is offered that is faster; 0: RampMost alone counts
	CapWhy     wording.Text // why not
	HoldS      float64      // how long the fill shall stand
}

// goalK is the temperature that a planned fill must stay under.
func (q *Query) goalK() float64 { return q.OnsetK - q.ReserveK }

// horizonS is how far a planned fill is looked at: to the target at the least
// ramp, and the hold after it.
func (q *Query) horizonS(rampPaS float64) float64 {
	up := 0.0
	if rampPaS > 0 {
		up = math.Max(0, (q.TargetPa-q.PressurePa)/rampPaS)
	}
	return math.Min(up+math.Max(q.HoldS, holdLeastS), horizonMostS)
}

const (
	holdLeastS      = 300.0  // a wall has peaked by then, whatever the hold
	horizonMostS    = 7200.0 // no forecast looks further
	TargetNearShare = 0.985  // of the target's gauge pressure counts as there
	topUpShare      = 0.96   // on a hold: less missing is not worth a top-up
)

// bound is the upper two-sigma bound of a peak in kelvin, read off with one
// run: the estimate moved two sigma along its worst direction.
type bound struct {
	along  []float64 // two sigma, widened, along the worst direction
	sigmaK float64   // of the peak, where the direction was taken
	slackK float64   // what a run along the direction makes too little of the peak
	bandK  float64   // two sigma of the peak, where the direction was taken
	state  thermal.State
	params thermal.Params
}

// settlesS is how long the sky may go its own way unanswered in a fill: until
// the advice of the second after has stopped it and the wall has peaked. A vessel
// that is left standing has no such limit, see holdLimit.
const settlesS = 60.0

// boundOf finds the worst direction of the peak of a run.
func (pl *Planner) boundOf(b *thermal.Estimate, run func(*thermal.State, *thermal.Params) thermal.Run) bound {
	out := bound{along: make([]float64, b.Layout.N)}
	value, sigma := b.WorstDirection(&pl.root, func(s *thermal.State, p *thermal.Params) thermal.Ends { return run(s, p).Peaks }, out.along)
	along := b.Reach()
	for i := range out.along {
		out.along[i] *= along
	}
	out.sigmaK = sigma
	out.bandK = b.Band(sigma, settlesS)
	out.follow(b)
	there := run(&out.state, &out.params)
	// A peak is a largest of many: moving them all a little raises it less than
	// its sigma says. The bound is never under value and band.
	out.slackK = math.Max(0, value+along*sigma-there.PeakK)
	return out
}

// upper is the bound read off a run of the moved estimate. What no parameter
// explains, and what the sky may do until the wall has peaked, is taken at that run.
func (o *bound) upper(b *thermal.Estimate, run thermal.Run) float64 {
	return run.PeakK + o.moreK(b, settlesS)
}

// moreK is what upper adds to a wall that a run shows inS from now.
func (o *bound) moreK(b *thermal.Estimate, inS float64) float64 {
	return o.slackK + b.Band(o.sigmaK, inS) - b.Reach()*o.sigmaK
}

// follow moves the bound to a newer estimate: the direction stays, the point
// follows.
func (o *bound) follow(b *thermal.Estimate) { o.state, o.params = b.Moved(o.along) }
