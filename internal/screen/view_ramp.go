package screen

import (
	"math"
	"unicode/utf8"

	"fillwright/internal/advise"
	"fillwright/internal/bend"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// ramp is how fast it goes, and in the small rows what time and gas do.
func (v *view) ramp() meter {
	s := v.shown
	m := meter{label: "RAMP", more: " NOW", up: true, unit: v.unit(v.Units.RampUnit()), number: v.Units.RampNumber(s.RampPaS)}
	gas, room := canvas.RowOf(canvas.Label, "gas       "), 6
	if why := headline.Inferred(v.shown); why != "" {
		gas, room = canvas.RowOf(canvas.Label, "gas ").Add(canvas.Strong, why), 5
	}
	gas = append(gas, v.temperature(s.GasK, room), v.band(s.GasBandK, 4)).Add(canvas.Label, v.temperatureUnit())
	target := append(canvas.RowOf(canvas.Label, "target then in "), v.value(v.advised(clock(s.Advice.TargetInS)), 7))
	if p := v.planned; p != nil && !math.IsNaN(p.leftS(v)) { // how the fill differs from its plan
		target = append(canvas.RowOf(canvas.Label, "target in "), v.value(v.advised(clock(s.Advice.TargetInS)), 5))
		target = target.Add(canvas.Label, " plan ").Add(canvas.Text, clock(p.leftS(v)))
	}
	m.details = []canvas.Row{target, gas}
	switch {
	case s.Phase == phase.Holding && v.Now.Advice.Verdict != advise.VerdictTopUp:
		m.details = []canvas.Row{v.holdRow(), append(canvas.RowOf(canvas.Label, "leak      "), v.leak(false)...)}
	case s.Phase == phase.Venting:
		cold := append(canvas.RowOf(canvas.Label, "left so, gas to "), v.temperature(s.Outlook.VentColdK, 6)).Add(canvas.Label, v.temperatureUnit())
		m.details = []canvas.Row{append(canvas.RowOf(canvas.Label, "under pressure "), v.value(emptyText(s), 7)), cold}
	case s.Advice.WaitS > 0:
		m.details[0] = append(canvas.RowOf(canvas.Label, "go on in  "), v.value(v.advised(clock(s.Advice.WaitS)), 12))
	}
	return m
}

// most is how fast it may go now.
func (v *view) most() meter {
	m := meter{label: "RAMP AT MOST", unit: v.unit(v.Units.RampUnit()), number: v.advisedNumber()}
	if v.NotReady() || v.AfterFill() || v.Stale() && v.Started() {
		m.told, m.number = true, v.Units.RampNumber(0) // now; more would read as leave to go
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
	s := v.Now
	switch {
	case headline.IsAbort(v.Now.Advice.Verdict):
		return "none", ""
	case v.Stale():
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
func (v *view) stood() string { return clock(sinceS(v.Now.TimeS, v.Now.PhaseSince)) }

// holdRow are the clocks of a hold: how long it stood, and how much longer it
// may, or when to go on.
func (v *view) holdRow() canvas.Row {
	r := canvas.RowOf(canvas.Label, "stood ").Add(canvas.Strong, canvas.Right(v.stood(), 5))
	if wait := v.shown.Advice.WaitS; wait > 0 {
		return r.Add(canvas.Label, " go on in ").Add(canvas.Strong, v.advised(clock(wait)))
	}
	text, why := v.timeLeft()
	r = r.Add(canvas.Label, " left ").Add(canvas.Strong, canvas.Right(text, 5))
	if v.plan.w/3 < r.Width()+len(" (wall)") && v.plan.w >= 76 {
		return r // the row AFTER, or the reason, says what ends it
	}
	return r.Add(canvas.Label, " "+why)
}

// advisedNumber is the advised ramp.
func (v *view) advisedNumber() string { return v.advised(v.Units.RampNumber(v.shown.Advice.RampPaS)) }

// advised is what goes with advice to fill: nothing on old data, and nothing
// beside the account of a fill.
func (v *view) advised(number string) string {
	if v.Stale() || v.AfterFill() {
		return quantity.Unknown
	}
	return number
}

// wallLines is the room that the wall needs under its titles: a row a station,
// and one for its sides where the profile has plies. It hangs on the profile
// alone, so that nothing jumps.
func (m Model) wallLines() int {
	n := len(m.stations)
	if len(m.opt.Profile.Plies) > 0 {
		n++
	}
	return n
}

// sides is what the warm side does to the vessel, in one row.
func (v *view) sides(w int) canvas.Row {
	s := &v.shown.Sides
	r := canvas.RowOf(canvas.Label, canvas.Left("SIDES", nameCells))
	line := bend.Line(v.clean(s.Warm.Name), s.Bow) + v.oldMark()
	if utf8.RuneCountInString(line) > w-nameCells {
		line = bend.Keeps(v.clean(s.Warm.Name), s.Bow) + v.oldMark()
	}
	return r.Add(canvas.Text, line)
}
