package screen

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
)

// Planned is what was planned for this fill: it stands beside what comes, and
// changes nothing of it.
type Planned struct {
	AirK      float64
	RampPaS   float64       // the first; 0: the plan was a no-go
	Then      advise.Change // of a course
	TargetInS float64
	Path      []advise.Point
}

// sameAirK is as near to the planned air as makes no odds.
const sameAirK = 1.0

// differs tells how the day differs from the plan, and what that does to the ramp.
func (p *Planned) differs(v *view) string {
	s := v.Now
	off := s.AmbientK - p.AirK
	text := ""
	switch {
	case math.IsNaN(off):
		text = "air not known yet"
	case off >= sameAirK:
		text = canvas.Whole(v.Units.DifferenceValue(off)) + " " + v.Units.TemperatureUnit() + " hotter than planned"
	case off <= -sameAirK:
		text = canvas.Whole(v.Units.DifferenceValue(-off)) + " " + v.Units.TemperatureUnit() + " cooler than planned"
	default:
		text = "as warm as planned"
	}
	was := "instead of " + v.Units.Ramp(p.RampPaS)
	if !(p.RampPaS > 0) {
		was = v.Units.RampUnit() + ", planned as a no-go"
	}
	switch {
	case s.Advice.Verdict == advise.VerdictNoStart:
		return text + ": do not start, planned " + plannedRamp(v, p.RampPaS)
	case s.Advice.RampPaS > 0 && p.RampPaS > 0 && (s.Advice.Then.Known() || p.Then.Known()): // first ramps alone would mislead
		return text + ": target in " + clock(s.Advice.TargetInS) + " instead of " + clock(p.TargetInS) +
			", first at most " + v.Units.RampNumber(s.Advice.RampPaS) + " " + was
	case s.Advice.RampPaS > 0:
		return text + ": at most " + v.Units.RampNumber(s.Advice.RampPaS) + " " + was
	}
	return text
}

// plannedRamp is the ramp that was planned, or that none was.
func plannedRamp(v *view, paS float64) string {
	if !(paS > 0) {
		return "as a no-go"
	}
	return "at most " + v.Units.Ramp(paS)
}

// row is that in the list before the fill.
func (p *Planned) row(v *view, w int) canvas.Row {
	out := canvas.RowOf(canvas.Strong, "  "+canvas.Left("plan", 6))
	return out.Add(canvas.Text, canvas.Cut(v.clean(p.differs(v)), max(w-out.Width()-1, 0), v.g.More))
}

// leftS is how long the target would still take by the plan, from the first gas of
// the fill under way on; NaN where none is.
func (p *Planned) leftS(v *view) float64 {
	s := v.shown
	if s.Phase != phase.Filling || !s.Summary.Begun || s.Summary.Done || !(p.TargetInS > 0) {
		return math.NaN()
	}
	return max(s.Summary.BeginS+p.TargetInS-s.TimeS, 0)
}

// curve is the planned hottest wall in the chart's columns, from the first gas of
// this fill on; before it, as if gas came in now.
func (p *Planned) curve(v *view, past, ahead int, eachS float64) []float64 {
	y := canvas.Unknown(past + ahead)
	s := v.shown
	begin := s.TimeS
	switch sum := &s.Summary; {
	case sum.Begun && !sum.Done:
		begin = sum.BeginS
	case s.Phase != phase.Vented:
		return y
	}
	for i := range y {
		from := s.TimeS + float64(i-past)*eachS - begin
		y[i] = v.Units.TemperatureValue(pathMost(p.Path, from, from+eachS))
	}
	return y
}
