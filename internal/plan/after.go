package plan

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/thermal"
)

// after is what follows a fill: settling and top-ups, how long it may stand, and
// the coldest gas of a vent.
func (q *search) after(a *Answer, s *Setup, c Course, filled thermal.Run) {
	q.topUps(a, c)
	a.StandS = q.standS(c)
	if s.Day.WrapKgM2 > 0 { // then it dries
		a.StandS = math.Min(a.StandS, math.Max(0, s.wrapLastsS()-a.TargetInS))
	}
	q.vent(a, float64(s.Vessel.Limits.GasCold), c)
}

// topUpsMost is more than anybody adds to one fill.
const topUpsMost = 6

// topUps fills, lets the vessel settle, and adds what is missing, until what it
// settles to is near the target.
func (q *search) topUps(a *Answer, c Course) {
	m, p := q.b.Model, q.b.Params
	st := q.b.State
	r := q.runFor(&st, &p, c, standMostS/4, false, nil)
	want := advise.TargetNearShare * a.TargetPa
	a.TopUpPa = math.Max(0, a.TargetPa-a.SettlePa)
	for a.TopUps = 0; r.EndPa-m.AmbientPa < want; a.TopUps++ {
		if a.TopUps == topUpsMost || math.IsNaN(r.EndPa) {
			a.TopUps = -1
			return
		}
		ramp := math.Max(a.RampPaS, q.leastPaS)
		r = m.Forecast(r.End, &p, r.EndPa, thermal.Plan{RampPaS: ramp, TargetPa: q.targetPa, HorizonS: standMostS / 4, AmbientK: q.ambientK}, nil)
	}
}

// standS is how long the vessel may stand once it is full, by the direction in
// which a standing wall grows hottest.
func (q *search) standS(c Course) float64 {
	o := q.boundOf(func(s *thermal.State, p *thermal.Params) thermal.Ends {
		last := 0.0
		q.runFor(s, p, c, standMostS, false, func(_, _, hot float64, _ *thermal.State) { last = hot })
		return thermal.Alike(last)
	})
	limit, lastS, fullS := math.Inf(1), 0.0, math.NaN()
	q.runFor(&o.state, &o.params, c, standMostS, false, func(inS, p, hot float64, _ *thermal.State) {
		if math.IsNaN(fullS) && p >= 0.999*q.targetPa {
			fullS = inS
		}
		if inS >= fullS {
			if !(hot+q.moreK(&o, inS-fullS) < q.goalK) { // an unknown wall may not stand
				limit = math.Min(limit, math.Max(0, lastS-fullS))
			}
		}
		lastS = inS
	})
	if math.IsNaN(fullS) {
		return math.NaN()
	}
	return limit
}

// Vents are looked at from this rate down, as in the live outlook.
const ventFastPaS = 10e5 / 60

// vent finds the coldest gas of a vent after the hold, and a rate that keeps it
// over the vessel's limit.
func (q *search) vent(a *Answer, coldK float64, c Course) {
	m, st, p := q.b.Model, q.b.State, q.b.Params
	r := q.runFor(&st, &p, c, q.holdS, false, nil)
	cold := func(rate float64) float64 {
		return m.Vent(r.End, &p, r.EndPa, rate, q.ambientK, nil).ColdK
	}
	a.VentPaS, a.VentK = ventFastPaS, cold(ventFastPaS)
	for range 6 {
		if a.VentK >= coldK || math.IsNaN(a.VentK) {
			return
		}
		a.VentPaS *= 0.6
		a.VentK = cold(a.VentPaS)
	}
}
