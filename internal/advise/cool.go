package advise

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

const (
	coolMostS   = 3600.0 // further ahead nobody plans a shade
	coolLeastS  = 60.0   // sooner than this the shade alone is the remedy
	coolFirstS  = 15.0   // first look, each later one half as late again
	coolStretch = 1.5
	zeroC       = 273.15 // K
)

// inShade is how warm the wall is, and after what time in the shade, once a
// fill at the least ramp would stay under the goal; NaN when that does not come.
// Shade is an outside at ambient temperature that stays so in the fill.
func (pl *Planner) inShade(q *Query) (wallK, inS float64) {
	m, slow := q.Estimate.Model, pl.aim(q, 0)
	shaded := func(s thermal.State) thermal.State {
		for i := range m.Sides {
			s.OutK[i] = q.AmbientK
		}
		return s
	}
	stand := thermal.Plan{HorizonS: coolMostS, AmbientK: q.AmbientK}
	type look struct {
		t, p, wallK float64
		s           thermal.State
	}
	var looks []look
	next := coolFirstS
	m.Forecast(shaded(slow.state), &slow.params, q.PressurePa, stand, func(t, p, _ float64, s *thermal.State) {
		if t >= next {
			looks, next = append(looks, look{t: t, p: p, s: *s}), t*coolStretch
		}
	})
	i := 0 // the same times, as the wall is on average
	m.Forecast(shaded(q.Estimate.State), &q.Estimate.Params, q.PressurePa, stand, func(t, _, hotK float64, _ *thermal.State) {
		for ; i < len(looks) && t >= looks[i].t; i++ {
			looks[i].wallK = hotK
		}
	})
	for i := range looks {
		later := *q
		later.PressurePa = looks[i].p
		run := rampPeak(&later, m, looks[i].s, &slow.params, q.RampLeast, nil)
		if slow.upper(q.Estimate, run) <= q.goalK() && looks[i].wallK > 0 {
			i = min(i+1, len(looks)-1) // the later look: what is told must do
			return looks[i].wallK, looks[i].t
		}
	}
	return math.NaN(), math.NaN()
}

// remedy is what to do about a wall that is too warm to start.
func (pl *Planner) remedy(q *Query) wording.Text {
	switch wallK, inS := pl.inShade(q); {
	case math.IsNaN(inS):
		return wording.ShadeIsNotEnough(coolMostS, q.AmbientK)
	case inS < coolLeastS:
		return wording.ShadeIt
	default:
		// Rounded down: a degree too cool is no harm.
		return wording.ShadeUntil(math.Floor(wallK-zeroC)+zeroC, inS)
	}
}
