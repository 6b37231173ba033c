package plan

import (
	"cmp"
	"math"
	"slices"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// Narrowing is something to find out, and what it does to the peak's band.
type Narrowing struct {
	Do           string
	BandK, FromK float64
	Fills        bool // by fills: nothing for a day that is a no-go
}

// readSun is what mostly narrows a plan in the sun.
const readSun = "a contact reading on the sunny side just before"

// narrowsLeastK is what is not worth anybody's walk.
const narrowsLeastK = 0.2

// narrowing lists what would narrow the peak's band at a course, best first: the
// band is taken anew with each.
func (s *Setup) narrowing(q *search, c Course) []Narrowing {
	band := func(b *thermal.Estimate) float64 {
		a := ahead{b: b, ambientK: q.ambientK, holdS: q.holdS}
		peakK := a.aim(c).valueK
		return a.upperK(c) - peakK // as the answer's
	}
	from := band(q.b)
	var out []Narrowing
	tell := func(n Narrowing, b *thermal.Estimate) {
		if n.BandK, n.FromK = band(b), from; n.BandK < from-narrowsLeastK {
			out = append(out, n)
		}
	}
	add := func(do string, b *thermal.Estimate) { tell(Narrowing{Do: do}, b) }
	if math.IsNaN(s.Day.WallSunK) {
		b := s.estimate(s.causes())
		narrow(b, b.Layout.AtWall(thermal.SideSun, b.Layout.Cells-1))
		add(readSun, b)
	}
	for i := range s.causes() {
		causes := s.causes()
		if causes[i].narrowed < causes[i].sigma {
			causes[i].sigma = causes[i].narrowed
			add(causes[i].do, s.estimate(causes))
		}
	}
	if !s.Day.Wind.Said {
		known := *s
		known.Day.Wind.Sigma = saidWind
		add("the wind at the pad", known.estimate(known.causes()))
	}
	if q.b.State.Supply.Inlet() != thermal.InletMeasured {
		b := s.estimate(s.causes())
		_, sigma := thermal.InflowPrior(thermal.InletMeasured)
		scale(b, thermal.ParInflow, sigma)
		add("a thermometer in the supply line", b)
	}
	if s.Model.IsHandbook() {
		b := s.estimate(s.causes())
		for _, t := range taught {
			scale(b, t.par, t.sigma)
		}
		b.DiscrepancyK = taughtDiscrepancyK
		tell(Narrowing{Do: "three mild fills to learn the vessel from", Fills: true}, b)
	}
	slices.SortStableFunc(out, func(a, b Narrowing) int { return cmp.Compare(a.BandK, b.BandK) })
	return out
}

// What three fills leave of the handbook's doubt, one sigma: what another day may
// do to films remains. Common practice, no source.
var taught = []struct {
	par   int
	sigma float64
}{
	{thermal.ParLnFilm, wallmodel.HandbookDay.FilmLn}, {thermal.ParJet, 1.2}, {thermal.ParLnHeat, 0.04}, {thermal.ParLnConduct, 0.1},
	{thermal.ParInflow, 4}, {thermal.ParDensity, 0.05}, {thermal.ParBuoyancy, 0.05},
}

const taughtDiscrepancyK = 0.6

// scale brings one sigma of a parameter down to sigma, with all that goes with it.
func scale(b *thermal.Estimate, par int, sigma float64) {
	at, n := b.Layout.AtPar(par), b.Layout.N
	if at < 0 {
		return
	}
	now := math.Sqrt(b.Cov[at*n+at])
	if !(now > sigma) {
		return
	}
	for i := range n {
		b.Cov[at*n+i] *= sigma / now
		b.Cov[i*n+at] *= sigma / now
	}
}
