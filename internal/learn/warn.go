package learn

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// Limits of the warnings. Common practice, no source.
const (
	oddFactor   = 2.0 // a left-out fill this many times worse than the others' median
	oddWallK    = 0.4 // and worse than this
	oddGasK     = 0.6
	oddDay      = 2.0 // sigmas of what a day may change of film and outside
	chiMost     = 1.5
	narrowK     = 3.0 // of ambient
	narrowRamps = 1.3 // fastest ramp of the fastest fill over that of the slowest
)

// warn says what a person should know before trusting the model.
func (r *Result) warn(fills []*Fill, slowestPaS float64) {
	o := r.Best().Outcome
	if !o.Converged {
		r.add("the fit did not converge (%s)", o.Why)
	}
	r.warnParameters()
	r.warnOdd()
	if len(o.Fills) < 2 {
		r.add("one fill alone can't be checked against another: give at least three")
	}
	r.warnRange(fills, slowestPaS)
	for _, f := range o.Fills {
		if f.Inlet != o.Inlet {
			r.add("the inflow of %s is known on another base (%s) than that of most fills (%s): it says little of their inflow", f.Name, f.Inlet, o.Inlet)
		}
	}
	if !hasWall(o) {
		r.add("no wall reading in any fill: the wall is estimated from handbook values and the gas alone")
	}
	if o.Variant.Cells == 1 {
		r.add("a lag fitted to outer readings says nothing of the inner face, which runs hotter in a fast fill")
	}
}

// warnFarEnd says so where no fill tells of an end that the jet does not reach:
// bead and sensors within it say too little. On invented vessels the wall there
// stood 3 to 8 K over the rest in a fast fill.
func (r *Result) warnFarEnd() {
	if r.Best().Outcome.FarUnread {
		r.add("no fill has a reading of the far end of this long vessel: the wall there may get degrees hotter, and the band is as wide as that. Glue a sensor there for one fill, a [[station]] with end = \"far\", and learn with that fill too: on invented vessels whose far end mixes it took the band of a fast fill from about 6 to 2 or 3 °C and more than half of the needless aborts away")
	}
}

func (r *Result) add(format string, a ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, a...))
}

// warnParameters names what the fills can't tell.
func (r *Result) warnParameters() {
	o := r.Best().Outcome
	for _, g := range o.Confounded {
		r.add("these fills can't tell apart: %s", o.parNames(g))
	}
	for _, i := range o.AtBound {
		if (i == thermal.ParStem || i == thermal.ParHand) && o.Params[i] <= 0 {
			continue // leads and probes that take nothing off are the best there are
		}
		r.add("%s ended at its bound, %s: no such vessel is likely; something else bends the fit (a probe, a leak, a wrong profile). Don't fill by this model", o.parName(i), number(thermal.ParValue(i, o.Params[i])))
	}
	if chi := math.Max(o.Misfit.ChiGas, o.Misfit.ChiWall); chi > chiMost {
		r.add("the readings lie %.1f times as far off the fit as their noise explains: its errors are taken as that much larger", math.Sqrt(chi))
	}
	var unsaid []int
	for _, i := range o.Free {
		if _, sigma := o.prior(i); o.StdErr[i] > 0.8*sigma && i != thermal.ParHand { // of hands nobody asks the vessel
			unsaid = append(unsaid, i)
		}
	}
	if len(unsaid) > 0 {
		r.add("these fills say little about: %s; handbook values stand in", o.parNames(unsaid))
	}
}

func (o *Outcome) parNames(of []int) string {
	var names []string
	for _, i := range of {
		names = append(names, o.parName(i))
	}
	return strings.Join(names, ", ")
}

// warnOdd names the fills that the others do not predict: far worse than they
// predict each other, or than the fit with this fill in it does.
func (r *Result) warnOdd() {
	s := r.Best()
	for i, f := range s.LeftOut {
		var gas, wall []float64
		for k, other := range s.LeftOut {
			if k == i {
				continue
			}
			gas = append(gas, other.GasRMSK)
			if !math.IsNaN(other.WallRMSK) {
				wall = append(wall, other.WallRMSK)
			}
		}
		own := 2 * math.Max(0.5, s.Outcome.rms(f.Name)) // NaN without wall readings
		switch {
		case f.WallRMSK > own || odd(f.WallRMSK, wall, oddWallK):
			r.add("%s disagrees with the rest: wall off by %.1f K RMS when predicted from them", f.Name, f.WallRMSK)
		case math.Abs(f.FilmLn) > oddDay*wallmodel.HandbookDay.FilmLn || math.Abs(f.OutsideLn) > oddDay*wallmodel.HandbookDay.OutsideLn:
			r.add("%s disagrees with the rest: it needs an inside film ×%.2f and an outside coefficient ×%.2f of theirs", f.Name, math.Exp(f.FilmLn), math.Exp(f.OutsideLn))
		case odd(f.GasRMSK, gas, oddGasK):
			r.add("%s disagrees with the rest: gas off by %.1f K RMS when predicted from them", f.Name, f.GasRMSK)
		}
	}
}

// odd tells whether x stands out from at least two others.
func odd(x float64, others []float64, leastK float64) bool {
	if len(others) < 2 {
		return false
	}
	slices.Sort(others)
	n := len(others)
	median := 0.5 * (others[(n-1)/2] + others[n/2])
	return x > math.Max(leastK, oddFactor*median)
}

// warnRange says where the fills are too much alike to speak for others.
func (r *Result) warnRange(fills []*Fill, slowestPaS float64) {
	g := r.Model.Range
	if g.AmbientMostK-g.AmbientLeastK < narrowK {
		r.add("all fills at about the same ambient temperature (%.0f °C): other days widen the band", g.AmbientMostK-273.15)
	}
	if len(fills) > 1 && g.RampMostPaS < narrowRamps*slowestPaS {
		r.add("all fills at about the same ramp (%.0f bar/min): faster ones widen the band", g.RampMostPaS*60/1e5)
	}
	for _, f := range fills {
		if !f.knowsAmbient() {
			r.add("%s has no ambient temperature: its first gas temperature stands in", f.Name)
		}
	}
}

func (o *Outcome) rms(name string) float64 {
	for _, f := range o.Fills {
		if f.Name == name {
			return f.WallRMSK
		}
	}
	return math.NaN()
}

func hasWall(o *Outcome) bool {
	for _, f := range o.Fills {
		if len(f.Residuals) > 0 {
			return true
		}
	}
	return false
}
