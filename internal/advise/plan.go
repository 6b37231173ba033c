package advise

import (
	"math"

	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// Unknown is an advice and an outlook when too little is known to give one.
func Unknown(reason wording.Text) (Advice, Outlook) {
	nan := math.NaN()
	return Advice{Reason: reason, RampPaS: nan, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan},
		Outlook{CoastPeakK: nan, CoastPeakBandK: nan, CoastPeakInS: nan, ToLimitS: nan, SettlePa: nan, HoldLimitS: nan, VentColdK: nan}
}

const (
	pathPoints  = 64 // points kept of a forecast path
	ventSlowPaS = 10e5 / 60
	easeShare   = 1.10 // a ramp this far over the advised one is too fast

	stayLeastS    = 10.0 // less is no time to stay full
	ventNoColderK = 3.0  // a gas that falls by less falls no more: the fall of a vent's last bars is uncertain
)

// Plan looks ahead from the present situation. The cost is some fifteen forecasts,
// and thirty for each direction that is taken.
func (pl *Planner) Plan(q Query) (Advice, Outlook) {
	a, o := Unknown(wording.Text{})
	m := q.Estimate.Model
	pl.aimCoast(&q)
	ramp, ok := 0.0, false
	there := q.there()
	if !there && q.Phase != phase.Venting { // else no gas is asked for
		ramp, ok = pl.search(&q)
	}
	o.CoastPeakBandK = pl.coast.bandK
	coast := stopPeak(&q, m, q.Estimate.State, &q.Estimate.Params, 0, pathTo(&o.Coast, m, pl.coast.bandK))
	if math.IsNaN(coast.PeakK) || math.IsNaN(pl.coast.bandK) {
		return Unknown(wording.NoWall)
	}
	o.CoastPeakK, o.CoastPeakInS = coast.PeakK, coast.PeakInS
	if q.Phase == phase.Vented {
		// Sun and air may take longer than a coast is looked at.
		o.CoastPeakBandK = math.Max(o.CoastPeakBandK, pl.sunAlone(&q)-o.CoastPeakK)
	}
	var run thermal.Run
	if ok {
		run, ramp, ok = pl.within(&q, ramp, &o.Path)
	}
	a.RampPaS = ramp
	if ok {
		a.TargetInS, a.PeakBandK = run.RampEndS, pl.bandK(&q, ramp)
		if c := pl.courseFor(&q, ramp); c.some() {
			o.Path = nil
			run = coursePeak(&q, c, q.Estimate.State, &q.Estimate.Params, pathTo(&o.Path, m, pl.kept.along.bandK))
			a.RampPaS, a.Then = c.firstPaS, Change{c.lastPaS, c.toPa - m.AmbientPa}
			a.TargetInS, a.PeakBandK = c.lengthS(&q), pl.kept.along.bandK
		}
		a.PeakK, a.PeakInS = run.PeakK, run.PeakInS
		o.SettlePa = m.SettledPa(&run.End, &q.Estimate.Params, run.MassKg) - m.AmbientPa
	} else {
		pl.kept = follower{}
		a.PeakK, a.PeakInS, a.PeakBandK = coast.PeakK, coast.PeakInS, pl.coast.bandK
		o.SettlePa = m.SettledPa(&q.Estimate.State, &q.Estimate.Params, coast.MassKg) - m.AmbientPa
	}
	switch q.Phase {
	case phase.Filling:
		if q.RampPaS > 0 {
			o.ToLimitS = pl.toLimit(&q)
		}
	case phase.Holding:
		o.SettlePa = m.SettledPa(&q.Estimate.State, &q.Estimate.Params, coast.MassKg) - m.AmbientPa
		o.HoldLimitS = pl.holdLimit(&q)
		o.VentColdK = pl.ventCold(&q)
	case phase.Venting:
		o.VentColdK = pl.ventCold(&q)
	}
	pl.judge(&q, &a, &o, ok, there)
	return a, o
}

// there says that a fill is at its target, or a hold so near to it that the rest is not
// worth a top-up, by the most that the vessel may hold.
func (q *Query) there() bool {
	ambient := q.Estimate.Model.AmbientPa
	mostPa, wayPa := q.PressurePa+q.ZeroBandPa-ambient, q.TargetPa-ambient
	return q.Phase == phase.Filling && mostPa >= TargetNearShare*wayPa || q.Phase == phase.Holding && mostPa >= topUpShare*wayPa
}

// OverMostK is by how much a forecast peak may pass the limit by rounding.
const OverMostK = 0.05

// within runs the advised ramp, slower where its peak with its band would pass the
// limit: away from the ramps at which directions were taken the bound along them
// may lie a little lower.
func (pl *Planner) within(q *Query, rampPaS float64, path *[]Point) (run thermal.Run, slowedPaS float64, ok bool) {
	m := q.Estimate.Model
	nominal := func(rampPaS float64, visit thermal.Visit) thermal.Run {
		return rampPeak(q, m, q.Estimate.State, &q.Estimate.Params, rampPaS, visit)
	}
	for range 2 {
		bandK := pl.bandK(q, rampPaS)
		*path = nil
		run = nominal(rampPaS, pathTo(path, m, bandK))
		if run.PeakK+bandK <= q.goalK()+OverMostK {
			return run, rampPaS, true
		}
		rampPaS, ok = Fastest(q.RampLeast, rampPaS, rampPaS, func(r float64) float64 {
			return math.Max(nominal(r, nil).PeakK+pl.bandK(q, r), pl.upper(q, r)) - q.goalK()
		})
		if !ok {
			break
		}
	}
	*path = nil
	return run, 0, false
}

// ventCold is the lowest gas temperature of the vent under way, its opening left
// as it is, or of a slow one from now; NaN while it is not known how fast it vents.
func (pl *Planner) ventCold(q *Query) float64 {
	b, rate := q.Estimate, ventSlowPaS
	if q.Phase == phase.Venting {
		switch rate = -q.RampPaS; {
		case math.IsNaN(rate):
			return rate
		case rate <= 0:
			return b.State.GasK // what falls so slowly that it can't be seen cools nothing
		}
	}
	return b.Model.Vent(b.State, &b.Params, q.PressurePa, rate, q.AmbientK, nil).ColdK
}

// pathTo collects a thinned path. The band grows from nothing known here to
// the band of the peak; it is drawn, not decided on.
func pathTo(out *[]Point, m *thermal.Model, bandK float64) thermal.Visit {
	return func(t, p, hot float64, s *thermal.State) {
		if len(*out) >= pathPoints && t-(*out)[len(*out)-1].InS < 30 {
			return
		}
		*out = append(*out, Point{InS: t, PressurePa: p - m.AmbientPa, GasK: s.GasK, HottestK: hot, BandK: bandK})
	}
}

// judge turns the numbers into a verdict with its reason.
func (pl *Planner) judge(q *Query, a *Advice, o *Outlook, ok, there bool) {
	switch q.Phase {
	case phase.Vented:
		pl.judgeVented(q, a, o, ok)
	case phase.Filling:
		pl.judgeFilling(q, a, ok, there)
	case phase.Holding:
		pl.judgeHolding(q, a, o, ok, there)
	case phase.Venting:
		a.Verdict, a.RampPaS = VerdictHold, 0
		switch coldK := o.VentColdK; {
		case math.IsNaN(coldK):
			a.Reason = wording.LetItVentOnly
		case coldK > q.Estimate.State.GasK-ventNoColderK:
			a.Reason = wording.LetItVentWarms
		default:
			a.Reason = wording.LetItVent(coldK)
		}
	}
}

func (pl *Planner) judgeVented(q *Query, a *Advice, o *Outlook, ok bool) {
	if ok {
		a.Verdict = VerdictReady
		a.Reason = wording.WallWouldPeak(a.PeakK, a.PeakBandK, q.goalK())
		if a.RampPaS >= q.mostPaS() && q.mostPaS() < q.RampMost {
			a.Reason = wording.NoFaster(q.CapWhy, a.Reason)
		}
		return
	}
	a.Verdict = VerdictNoStart
	if sun := pl.sunAlone(q); sun >= q.goalK() {
		peakK := o.CoastPeakK + o.CoastPeakBandK
		if outsideSigmaK(q.Estimate) > unreadSigmaK {
			a.Reason = wording.WallUnread(peakK, q.goalK())
			return
		}
		a.Reason = wording.SunAlone(peakK, q.goalK(), pl.remedy(q))
		return
	}
	a.WaitS = pl.wait(q)
	peakK, bandK := pl.slowest(q)
	a.Reason = wording.EvenSlowest(peakK, bandK, q.goalK(), pl.remedy(q))
}

// slowest is the peak of a fill at the least ramp, and what the bound has over it.
func (pl *Planner) slowest(q *Query) (peakK, bandK float64) {
	slow := pl.aim(q, 0)
	peakK = rampPeak(q, q.Estimate.Model, q.Estimate.State, &q.Estimate.Params, q.RampLeast, nil).PeakK
	return peakK, math.Max(slow.bandK, slow.upperAt(q, q.RampLeast)-peakK)
}

// unreadSigmaK is one sigma of the sunny side's outside above which no reading
// can have spoken of it (a first one leaves some 3 K).
const unreadSigmaK = 6.0

// sunAlone is the two-sigma bound of what the outside brings the wall to.
func (pl *Planner) sunAlone(q *Query) float64 {
	b := q.Estimate
	hot := math.Inf(-1)
	for i := 0; i < b.Model.Sides; i++ {
		at := b.Layout.AtOut(i)
		hot = math.Max(hot, b.State.OutK[i]+2*math.Sqrt(math.Max(0, b.Cov[at*b.Layout.N+at])))
	}
	return hot
}

func (pl *Planner) judgeFilling(q *Query, a *Advice, ok, there bool) {
	switch {
	case there:
		a.Verdict, a.RampPaS = VerdictHold, 0
		a.Reason = wording.TargetReached
	case !ok:
		a.Verdict = VerdictHold
		a.WaitS = pl.wait(q)
		a.Reason = wording.GoingOnIsTooWarm(q.goalK())
	case q.RampPaS > easeShare*a.RampPaS:
		a.Verdict = VerdictEase
		a.Reason = wording.TooFast(q.RampPaS, pl.upper(q, q.RampPaS), q.goalK())
	default:
		a.Verdict = VerdictFill
		a.Reason = wording.WallWouldPeak(a.PeakK, a.PeakBandK, q.goalK())
	}
}

func (pl *Planner) judgeHolding(q *Query, a *Advice, o *Outlook, ok, there bool) {
	switch {
	case there:
		a.Verdict, a.RampPaS = VerdictHold, 0
		switch {
		case math.IsInf(o.HoldLimitS, 1):
			a.Reason = wording.MayStayFullAlways
		case o.HoldLimitS >= stayLeastS:
			a.Reason = wording.MayStayFull(o.HoldLimitS)
		default:
			a.Reason = wording.MayNotStayFull
		}
	case ok:
		a.Verdict = VerdictTopUp
		gently(q, a)
		a.Reason = wording.TopUpWouldPeak(a.PeakK, a.PeakBandK, q.goalK())
	default:
		a.Verdict = VerdictHold
		a.WaitS = pl.wait(q)
		a.Reason = wording.TooWarmToGoOn(q.goalK())
	}
}

// gently keeps a top-up so slow that a late hand does not overshoot the target
// by more than half of what was missing, as far as the least ramp allows. The
// peak stays that of the faster ramp.
func gently(q *Query, a *Advice) {
	missing := q.TargetPa - q.PressurePa - q.ZeroBandPa
	if most := GentlePaS(missing, q.ReactionS); a.RampPaS > most {
		a.RampPaS = math.Max(most, q.RampLeast)
		a.TargetInS = missing / a.RampPaS
	}
}

// GentlePaS is the ramp at which a hand that is late by its reaction time overshoots
// a target by half of what is missing; 0 where that is not known.
func GentlePaS(missingPa, reactionS float64) float64 {
	if !(missingPa > 0) {
		return 0
	}
	return missingPa / (2 * reactionS)
}
