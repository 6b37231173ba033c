package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/phase"
)

// How often the monitor looks ahead, s. The abort rule is asked at every
// block while filling.
const (
	aheadFillingS = 1.0
	aheadSettlesS = 2.0
	aheadElseS    = 10.0
	settlingS     = 20.0       // after a change of phase
	stoppedPaS    = 0.2e5 / 60 // a ramp below this is no ramp
)

// ahead is the last look ahead.
type ahead struct {
	planner advise.Planner
	advice  advise.Advice
	atS     float64 // session time of it
	tooLate bool    // the abort rule, at the last block
}

// query describes the present to the planner.
func (m *Monitor) query() advise.Query {
	v := m.cfg.Profile
	q := advise.Query{
		Estimate: m.est.Estimate(), TimeS: m.snap.TimeS, Phase: max(m.snap.Phase, phase.Vented), PressurePa: m.est.Flow().PressurePa, RampPaS: m.snap.RampPaS,
		AmbientK: m.est.AmbientK(), TargetPa: m.est.AbsolutePa(m.targetPa), ZeroBandPa: m.zeroPa,
		OnsetK: float64(v.Resin.Onset), ReserveK: float64(v.Limits.Reserve), ReactionS: float64(v.Limits.Reaction),
		RampLeast: float64(v.Limits.RampLeast), RampMost: float64(v.Limits.RampMost), HoldS: float64(v.Fill.Hold),
	}
	switch {
	case m.snap.Phase == phase.Filling && math.IsNaN(q.RampPaS): // after a gap, until two seconds of pressure are there
		q.RampPaS = m.pace.lastPaS
	case math.Abs(q.RampPaS) < stoppedPaS, m.snap.Phase != phase.Venting && math.IsNaN(q.RampPaS):
		q.RampPaS = 0
	}
	if m.snap.Phase == phase.Filling {
		q.RampMost = math.Min(q.RampMost, m.pace.capPaS) // of a top-up
	}
	switch learned := m.learned.Range.RampMostPaS; {
	case q.Phase == phase.Vented:
		q.CapPaS, q.CapWhy = advise.FirstMostPaS(learned, m.targetPa, q.ReactionS)
	case learned > 0:
		q.CapPaS = advise.SeenMostPaS(math.Max(learned, m.pace.shownPaS))
	}
	return q
}

// lookAhead renews advice and outlook when they are due, and asks the abort
// rule.
func (m *Monitor) lookAhead() {
	q := m.query()
	every := aheadElseS
	switch {
	case m.snap.Phase == phase.Filling:
		every = aheadFillingS
	case m.snap.TimeS-m.snap.PhaseSince < settlingS:
		every = aheadSettlesS
	}
	if m.snap.TimeS-m.ahead.atS >= every-1e-6 {
		m.ahead.atS = m.snap.TimeS
		m.ahead.advice, m.snap.Outlook = m.ahead.planner.Plan(q)
		m.snap.Model.Fresh = true
	}
	m.snap.floorCoast()
	m.ahead.tooLate = m.snap.Phase == phase.Filling && m.ahead.planner.StopTooLate(&q)
}

// floorCoast keeps the coast peak, which is renewed every few seconds, from
// standing under what the wall is at now.
func (s *Snapshot) floorCoast() {
	o := &s.Outlook
	if !(s.HottestK+s.BandK > 0) || math.IsNaN(o.CoastPeakK+o.CoastPeakBandK) {
		return
	}
	up := math.Max(o.CoastPeakK+o.CoastPeakBandK, s.HottestK+s.BandK)
	if s.HottestK > o.CoastPeakK {
		o.CoastPeakK, o.CoastPeakInS = s.HottestK, 0
	}
	o.CoastPeakBandK = up - o.CoastPeakK
}
