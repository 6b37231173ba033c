package wallmodel

import (
	"math"

	"fillwright/internal/thermal"
)

// Day is how far one fill is from another, one sigma: what hose, nozzle and
// attitude do to the inside film and wind and shelter to the outside
// coefficient, as logarithms, and what the supply does to the inflow, K.
type Day struct{ FilmLn, OutsideLn, InflowK float64 }

// HandbookDay is that before any fill has shown it. Common practice, no source;
// wind alone takes the outside from 11 to 16 W/m²K between 0.5 and 2 m/s
// (Churchill & Bernstein 1977, from memory).
var HandbookDay = Day{FilmLn: 0.20, OutsideLn: 0.20, InflowK: 4}

// Of another day too, one sigma: the sun stands elsewhere over the layers, and
// gas mixes into a far end as ramp and attitude have it. Common practice, no
// source.
const (
	dayUnevenSigma = 0.02
	dayFarSigma    = 0.06
	dayFarShare    = 0.30 // of what the fills showed
	dayMixSigma    = 0.15
	dayHandSigma   = 0.015 // another probe, another hand
)

// DayCov is the covariance of the parameters on a day that no fill has seen yet.
// The handbook's is that already.
func (l *Learned) DayCov() [thermal.ParCount][thermal.ParCount]float64 {
	cov := l.Cov
	if l.IsHandbook() {
		return cov
	}
	add := func(i int, sigma float64) {
		if cov[i][i] > 0 {
			cov[i][i] += sigma * sigma
		}
	}
	add(thermal.ParLnFilm, l.Day.FilmLn)
	add(thermal.ParLnOutside, l.Day.OutsideLn)
	add(thermal.ParInflow, l.Day.InflowK)
	// Gas lies hot under the sun: what is less than nothing there has been taken up from
	// something else, and nobody knows how that goes on another day.
	add(thermal.ParUneven, math.Hypot(dayUnevenSigma, math.Min(l.Params[thermal.ParUneven], 0)))
	add(thermal.ParFar, math.Hypot(dayFarSigma, dayFarShare*l.Params[thermal.ParFar]))
	add(thermal.ParLnMix, dayMixSigma)
	add(thermal.ParHand, dayHandSigma)
	if cov[thermal.ParJet][thermal.ParJet] > 0 && cov[thermal.ParLnFilm][thermal.ParLnFilm] > 0 { // film and jet go together
		jet := 0.5 * l.Params[thermal.ParJet] * l.Day.FilmLn // it is held as a square root
		cov[thermal.ParJet][thermal.ParJet] += jet * jet
		cov[thermal.ParJet][thermal.ParLnFilm] += jet * l.Day.FilmLn
		cov[thermal.ParLnFilm][thermal.ParJet] += jet * l.Day.FilmLn
	}
	return cov
}
