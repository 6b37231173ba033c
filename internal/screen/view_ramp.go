package screen

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
)

// ramp is how fast it goes, and how fast it may.
func (v *view) ramp() meter {
	s := v.shown
	m := meter{label: "RAMP", unit: v.unit(v.u.RampUnit()), number: v.u.RampNumber(s.RampPaS)}
	if m.number == quantity.Unknown && v.started() {
		m.why = "not known"
	}
	most := "advised at most "
	if v.notReady() {
		most = "later at most   "
	}
	advised := rowOf(roleLabel, most)
	advised = append(advised, v.value(v.advisedNumber(), 6))
	target := rowOf(roleLabel, "target then in ")
	target = append(target, v.value(v.advised(clock(s.Advice.TargetInS)), 7))
	if wait := s.Advice.WaitS; wait > 0 {
		target = append(rowOf(roleLabel, "go on in  "), v.value(clock(wait), 12))
	}
	m.details = []row{advised, target}
	switch {
	case s.Phase == monitor.PhaseHolding && v.now.Advice.Verdict != advise.VerdictTopUp:
		m.details = v.holdRows()
	case s.Phase == monitor.PhaseVenting:
		cold := append(rowOf(roleLabel, "gas falls to    "), v.temperature(s.Outlook.VentColdK, 6)).add(roleLabel, v.temperatureUnit())
		m.details = []row{cold, append(rowOf(roleLabel, "under pressure "), v.value(emptyText(s), 7))}
	}
	return m
}

// emptyText is how long a vent still takes, if its ramp stays. It gets slower:
// the time is the least.
func emptyText(s *monitor.Snapshot) string {
	if !(s.RampPaS < 0) || math.IsNaN(s.PressurePa) {
		return quantity.Unknown
	}
	return ">" + clock(s.PressurePa/-s.RampPaS)
}

// timeLeft is how much longer it may stand, and what ends it: the wall, or the
// time that was planned. Under an abort no time is promised.
func (v *view) timeLeft() (text, why string) {
	s := v.now
	switch {
	case verdictIsAbort(v.now.Advice.Verdict):
		return "none", ""
	case v.stale():
		return quantity.Unknown, ""
	}
	planned := math.Max(float64(v.profile.Fill.Hold)-sinceS(s.TimeS, s.PhaseSince), 0)
	switch limit := s.Outlook.HoldLimitS; {
	case math.IsNaN(limit):
		return quantity.Unknown, ""
	case limit <= planned:
		return clock(limit), "(wall)"
	}
	return clock(planned), "(plan)"
}

// stood is how long it has stood under pressure.
func (v *view) stood() string { return clock(sinceS(v.now.TimeS, v.now.PhaseSince)) }

// holdRows are the clocks of a hold.
func (v *view) holdRows() []row {
	text, why := v.timeLeft()
	first := rowOf(roleLabel, "stood ").add(roleStrong, right(v.stood(), 7))
	if wait := v.shown.Advice.WaitS; wait > 0 {
		first = append(rowOf(roleLabel, "go on in  "), v.value(v.advised(clock(wait)), 12))
	}
	return []row{first, rowOf(roleLabel, "left  ").add(roleStrong, right(text, 7)).add(roleLabel, " "+why)}
}

// rampRow is the ramp in one row, for narrow windows.
func (v *view) rampRow() row {
	m := v.ramp()
	if v.shown.Phase == monitor.PhaseHolding && v.now.Advice.Verdict != advise.VerdictTopUp {
		text, _ := v.timeLeft()
		return rowOf(roleLabel, "stood ").add(roleStrong, right(v.stood(), 6)).
			add(roleLabel, "  left ").add(roleStrong, right(text, 7))
	}
	r := rowOf(roleLabel, "ramp ")
	r = append(r, v.value(m.number, 5)).add(roleLabel, " at most ")
	return append(r, v.value(v.advisedNumber(), 5))
}

// advisedNumber is the advised ramp.
func (v *view) advisedNumber() string { return v.advised(v.u.RampNumber(v.shown.Advice.RampPaS)) }

// advised is what goes with advice to fill: nothing on old data, and nothing
// beside the account of a fill.
func (v *view) advised(number string) string {
	if v.stale() || v.afterFill() {
		return quantity.Unknown
	}
	return number
}
