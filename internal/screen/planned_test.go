package screen

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
)

// inventedPlan is a plan with numbers of our own.
func inventedPlan(airK, rampPaS float64) *Planned {
	p := &Planned{AirK: airK, RampPaS: rampPaS}
	for i := range 20 {
		p.Path = append(p.Path, advise.Point{InS: float64(10 * i), HottestK: degC(30 + 0.5*float64(i))})
	}
	return p
}

// TestPlannedDiffers proves what the list says of a day that is not as planned, and
// that what is not known is told as such.
func TestPlannedDiffers(t *testing.T) {
	sit := situationNamed(t, "ready")
	for _, c := range []struct {
		offK, rampPaS float64
		change        func(*monitor.Snapshot)
		want          string
	}{
		{-3, 31e5 / 60, nil, "3 °C hotter than planned: at most "},
		{-3, 31e5 / 60, nil, " instead of 31.0 bar/min"},
		{4, 31e5 / 60, nil, "4 °C cooler than planned"},
		{0.4, 31e5 / 60, nil, "as warm as planned"},
		{0, 0, nil, "planned as a no-go"},
		{0, 31e5 / 60, func(s *monitor.Snapshot) { s.Advice.Verdict, s.Advice.RampPaS = advise.VerdictNoStart, 0 }, "do not start, planned at most 31.0 bar/min"},
		{0, 31e5 / 60, func(s *monitor.Snapshot) { s.AmbientK, s.Advice.RampPaS = math.NaN(), math.NaN() }, "air not known yet"},
	} {
		m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, 140, 40)
		m.opt.Planned = inventedPlan(m.live.AmbientK+c.offK, c.rampPaS)
		if c.change != nil {
			c.change(&m.live)
		}
		got := m.View()
		must.Be(t, strings.Contains(got, c.want), "planned air %+.1f K off: no %q in\n%s", c.offK, c.want, got)
	}
}

// TestPlannedTimes proves that beside the time to the target stands what the plan would
// still take, from the first gas on, and in the list the planned time where either is a
// course; in words that find room in 80 columns.
func TestPlannedTimes(t *testing.T) {
	p := inventedPlan(degC(20), 31e5/60)
	p.TargetInS, p.Then = 95, advise.Change{RampPaS: 12e5 / 60, FromPa: 20e5}
	m := modelIn(situationNamed(t, "course"), newFakeFeed(), Options{Depth: canvas.DepthNone, Planned: p}, 80, 24)
	m.live.Summary.Begun, m.live.Summary.BeginS = true, m.live.TimeS-30
	view := m.View()
	must.Be(t, strings.Contains(view, "target in  1:43  plan 1:05"), "no planned time in\n%s", view)
	m = modelIn(situationNamed(t, "ready"), newFakeFeed(), Options{Depth: canvas.DepthNone, Planned: p}, 160, 40)
	view = m.View()
	must.Be(t, strings.Contains(view, "target in 1:17 instead of 1:35, first at most 31.0"), "no planned time in\n%s", view)
}

// TestPlannedCurve proves that the planned wall begins with the first gas, that it is
// drawn and named, and that nothing of it is drawn where no fill is under way.
func TestPlannedCurve(t *testing.T) {
	p := inventedPlan(degC(20), 31e5/60)
	m := modelIn(situationNamed(t, "filling"), newFakeFeed(), Options{Depth: canvas.DepthNone, Planned: p}, 140, 40)
	m.live.Summary.Begun, m.live.Summary.Done, m.live.Summary.BeginS = true, false, m.live.TimeS-30
	view := m.View()
	must.Be(t, strings.Contains(view, "∙ planned") && strings.Count(view, "∙") >= 3, "no planned wall in\n%s", view)
	v := m.picture()
	s := *v.shown
	s.Phase, s.TimeS = phase.Filling, 100
	s.Summary.Begun, s.Summary.Done, s.Summary.BeginS = true, false, 60
	v.shown = &s
	y := p.curve(v, 60, 20, 1) // a column a second: now is column 60, the first gas column 20
	must.Be(t, math.IsNaN(y[18]) && !math.IsNaN(y[21]) && math.Abs(y[60]-32) <= 0.1,
		"before the first gas %v, at it %v, 40 s on %v", y[18], y[21], y[60])
	s.Phase, s.Summary.Done = phase.Holding, true
	for _, x := range p.curve(v, 60, 20, 1) {
		must.Need(t, math.IsNaN(x), "a planned wall is drawn where no fill is under way")
	}
}
