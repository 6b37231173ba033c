package plan

import (
	"math"

	"fillwright/internal/thermal"
)

// Course is how the pressure goes up to the target, one leg after the other.
type Course []thermal.Leg

// LegsMost is how many legs a hand on a valve is asked to follow.
const LegsMost = 4

// ahead is the look ahead at a course, from the vented vessel on.
type ahead struct {
	b        *thermal.Estimate
	ambientK float64
	holdS    float64
	root     thermal.Cholesky
	bounds   []bound // worst directions; the largest of their bounds counts
}

// What a wall has peaked after, whatever the hold, and how far no forecast looks
// (both as in the live advice).
const (
	holdLeastS = 300.0
	standMostS = 7200.0
)

// run carries a course out from a state and stands until the wall has peaked.
func (a *ahead) run(s *thermal.State, p *thermal.Params, c Course, visit thermal.Visit) thermal.Run {
	return a.runFor(s, p, c, math.Max(a.holdS, holdLeastS), true, visit)
}

// runFor stands for standS after the course.
func (a *ahead) runFor(s *thermal.State, p *thermal.Params, c Course, standS float64, untilPeak bool, visit thermal.Visit) thermal.Run {
	m := a.b.Model
	all := thermal.Run{PeakK: math.Inf(-1), Peaks: thermal.Alike(math.Inf(-1)), ColdK: s.GasK, End: *s, EndPa: m.AmbientPa}
	for i, leg := range c {
		do := thermal.Plan{RampPaS: leg.RampPaS, TargetPa: leg.ToPa, AmbientK: a.ambientK, HorizonS: leg.ForS}
		if leg.RampPaS > 0 {
			do.HorizonS = math.Max(0, (leg.ToPa-all.EndPa)/leg.RampPaS)
		}
		if i == len(c)-1 {
			do.HorizonS += standS
			do.UntilPeak = untilPeak
		}
		r := m.Forecast(all.End, p, all.EndPa, do, later(visit, all.EndS))
		join(&all, &r)
	}
	return all
}

// join lets a run follow another.
func join(all, next *thermal.Run) {
	all.Peaks.Most(next.Peaks)
	if next.PeakK > all.PeakK || math.IsNaN(next.PeakK) {
		all.PeakK, all.PeakInS, all.PeakSide = next.PeakK, all.EndS+next.PeakInS, next.PeakSide
	}
	if next.RampEndS > 0 {
		all.RampEndS, all.RampEndPa = all.EndS+next.RampEndS, next.RampEndPa
	}
	all.MassKg, all.ColdK = next.MassKg, math.Min(all.ColdK, next.ColdK)
	all.EndS += next.EndS
	all.End, all.EndPa = next.End, next.EndPa
}

func later(visit thermal.Visit, byS float64) thermal.Visit {
	if visit == nil || byS == 0 {
		return visit
	}
	return func(inS, p, hot float64, s *thermal.State) { visit(inS+byS, p, hot, s) }
}
