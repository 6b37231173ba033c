package advise

import (
	"math"

	"fillwright/internal/thermal"
)

// Mode is what the vessel is doing, as the planner needs to know it.
type Mode uint8

// The modes.
const (
	ModeVented Mode = iota
	ModeFilling
	ModeHolding
	ModeVenting
)

// Query is the present situation. Pressures are absolute Pa here.
type Query struct {
	Belief     *thermal.Belief
	TimeS      float64 // session time; only its differences count
	Mode       Mode
	PressurePa float64
	RampPaS    float64 // present
	AmbientK   float64
	TargetPa   float64
	OnsetK     float64
	ReserveK   float64
	ReactionS  float64
	RampLeast  float64 // Pa/s
	RampMost   float64
	HoldS      float64 // how long the fill shall stand
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
	bisections      = 7      // ramp to 1 % over a factor of thirty
	targetNearShare = 0.985  // of the target's gauge pressure counts as there
)

// bound is the upper two-sigma bound of a figure in kelvin, read off with one
// run: the belief moved two sigma along its worst direction.
type bound struct {
	along  []float64 // two sigma along the worst direction
	moreK  float64   // what the run along the direction leaves out of the band
	bandK  float64   // two sigma of the figure where the direction was taken
	state  thermal.State
	params thermal.Params
}

// boundOf finds the worst direction of a figure.
func (pl *Planner) boundOf(b *thermal.Belief, figure func(*thermal.State, *thermal.Params) float64) (bound, float64) {
	out := bound{along: make([]float64, b.Layout.N)}
	value, sigma := b.Spread(&pl.root, figure, out.along)
	along := 2 * math.Max(b.Widen, 1)
	for i := range out.along {
		out.along[i] *= along
	}
	out.bandK = b.Band(sigma)
	out.follow(b)
	// A peak is a largest of many: moving them all a little raises it less than
	// its band says. The bound is never under value and band.
	top := figure(&out.state, &out.params)
	out.moreK = math.Max(out.bandK-along*sigma, value+out.bandK-top)
	return out, value
}

// follow moves the bound to a newer estimate: the direction stays, the point
// follows.
func (o *bound) follow(b *thermal.Belief) { o.state, o.params = b.Moved(o.along) }
