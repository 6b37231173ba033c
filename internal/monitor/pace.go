package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/estimate"
	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// pace is how fast a fill may go as the operator is told, against how fast it
// goes. The planner's answer is renewed once a second and may jump; a hand on
// a valve can't follow jumps, and what the first gas seems to tell of the wall
// is not worth more than what was told before it.
type pace struct {
	toldPaS float64 // last told; +Inf: nothing was
	toldS   float64
	capPaS  float64 // of a top-up
	easing  bool
	wasPaS  float64 // told before it fell
	fellS   float64 // when it fell
	shutS   float64 // since when no gas is advised while it fills, NaN: it is

	meanPaS, meanS, shownPaS float64 // the ramp of late, when that was, and the fastest so far
	lastPaS                  float64 // the last ramp that was known
}

const (
	paceDoublesS = 5.0  // an advised ramp doubles in this time at the soonest; common practice, no source
	paceEveryS   = 1.0  // and grows once in this time, so that it can be read
	paceOver     = 1.05 // a ramp this far over the advised one, and clear of its noise, is too fast
)

// fillBegins sets the pace by what was advised before the gas came.
func (m *Monitor) fillBegins(was phase.Phase) {
	a, p := &m.snap.Advice, &m.pace
	*p = pace{toldPaS: math.Inf(1), toldS: m.snap.TimeS, capPaS: math.Inf(1), shutS: math.NaN(), fellS: math.Inf(-1), meanS: m.snap.TimeS}
	switch {
	case was == phase.Unknown: // a record that begins within a fill
	case a.Verdict.AsksForGas() && a.RampPaS > 0:
		p.toldPaS = a.RampPaS
	default:
		p.toldPaS = float64(m.cfg.Profile.Limits.RampLeast)
	}
	if a.Verdict == advise.VerdictTopUp {
		p.capPaS = math.Max(p.toldPaS, advise.GentlePaS(m.targetPa-m.pressureUpPa(), float64(m.cfg.Profile.Limits.Reaction)))
	}
}

// keepPace holds the advice to fill against the present ramp, at every block:
// FILL stands beside no ramp that is too fast, EASE OFF beside none that is not.
func (m *Monitor) keepPace() {
	s, p := &m.snap, &m.pace
	a := &s.Advice
	p.show(s.TimeS, s.RampPaS, m.followS())
	if s.Phase != phase.Filling || a.Verdict != advise.VerdictFill && a.Verdict != advise.VerdictEase {
		if s.Phase != phase.Filling || a.Verdict.AsksForGas() {
			p.shutS = math.NaN()
		} else if math.IsNaN(p.shutS) {
			p.shutS = s.TimeS
		}
		p.easing = false
		return
	}
	p.shutS = math.NaN()
	free := a.RampPaS
	most := p.toldPaS
	if in := s.TimeS - p.toldS; in >= paceEveryS {
		most *= math.Exp2(in / paceDoublesS)
		p.toldS = s.TimeS
	}
	a.RampPaS = math.Min(free, math.Min(p.capPaS, most))
	if a.RampPaS < p.toldPaS && !(s.TimeS-p.fellS < m.followS()) {
		p.wasPaS, p.fellS = p.toldPaS, s.TimeS
	}
	p.toldPaS = a.RampPaS
	if a.RampPaS < free {
		a.TargetInS = m.targetInS(a)
	}
	p.easing = s.RampPaS > paceOver*a.RampPaS+2*m.est.Ramp().Sigma || p.easing && s.RampPaS > a.RampPaS
	v := &m.cfg.Profile.Limits
	switch limitK := float64(m.cfg.Profile.Resin.Onset) - float64(v.Reserve); {
	case p.easing && (a.Verdict == advise.VerdictFill || a.RampPaS < free):
		a.Verdict, a.Reason = advise.VerdictEase, wording.RampNow(s.RampPaS, a.RampPaS)
	case !p.easing && a.Verdict == advise.VerdictEase:
		a.Verdict, a.Reason = advise.VerdictFill, wording.WallWouldPeak(a.PeakK, a.PeakBandK, limitK)
	}
}

// show keeps the fastest ramp that this fill has shown its wall for a while: the mean
// of late has to come there.
func (p *pace) show(timeS, rampPaS, overS float64) {
	if math.IsNaN(rampPaS) {
		return
	}
	p.lastPaS = rampPaS
	if dt := timeS - p.meanS; dt > 0 {
		p.meanPaS = thermal.Lag(p.meanPaS, rampPaS, rampPaS, dt, overS)
		p.shownPaS, p.meanS = math.Max(p.shownPaS, p.meanPaS), timeS
	}
}

// targetInS is the time to the target as is told.
func (m *Monitor) targetInS(a *advise.Advice) float64 {
	left := math.Max(m.targetPa-m.snap.PressurePa, 0)
	if t := &a.Then; t.Known() {
		last := m.targetPa - t.FromPa
		return math.Max(left-last, 0)/a.RampPaS + last/t.RampPaS
	}
	return left / a.RampPaS
}

// followS is how long a hand may take to follow, until it shows in the ramp.
func (m *Monitor) followS() float64 { return float64(m.cfg.Profile.Limits.Reaction) + estimate.RampS }

// judgeRamp tells in a fill whether the ramp is far too fast. A valve that
// is being closed is not: it has the reaction time and the ramp its window.
func (m *Monitor) judgeRamp() (high bool, text wording.Text) {
	s, v, p := &m.snap, &m.cfg.Profile.Limits, &m.pace
	if late := s.TimeS-p.shutS > m.followS(); late && s.RampPaS > float64(v.RampLeast) {
		return true, wording.StillComesIn(s.RampPaS)
	}
	most := float64(v.RampMost)
	if m.ahead.advice.Verdict == advise.VerdictFill || m.ahead.advice.Verdict == advise.VerdictEase {
		told := p.toldPaS
		if s.TimeS-p.fellS < m.followS() {
			told = math.Max(told, p.wasPaS)
		}
		most = math.Min(most, told)
	}
	high = s.RampPaS > 1.1*float64(v.RampMost) || most < float64(v.RampMost) && s.RampPaS > math.Max(rampHigh*most, float64(v.RampLeast))
	// A hand is given time to follow, but one screen tells one ramp.
	return high && math.IsNaN(p.shutS), wording.RampNow(s.RampPaS, math.Min(most, p.toldPaS))
}
