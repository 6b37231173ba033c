package advise

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// certain is a vessel of ideal gas of which everything is known, with a
// lumped wall of one station.
func certain() situation {
	c := calm()
	c.fluid, c.cells, c.stations = gas.Ideal(gas.Air), 1, 1
	c.scatter, c.stateSigmaK, c.modelK = 0, 0, 0
	return c
}

// The pressure after settling is p T∞/T of the ideal gas, on a hold from the
// present, before a fill from the end of it.
func TestSettlePressure(t *testing.T) {
	c := certain()
	c.phase, c.pPa, c.gasK, c.wallK, c.outK = phase.Holding, 41e5, 335, 310, 300
	_, o := c.plan()
	if want := 41e5*300/335 - 101325; math.Abs(o.SettlePa-want) > 1 {
		t.Errorf("settles at %.0f Pa, want %.0f Pa", o.SettlePa, want)
	}
	c = certain()
	q := c.query()
	var pl Planner
	a, o := pl.Plan(q)
	m, b := q.Estimate.Model, q.Estimate
	end := m.Forecast(b.State, &b.Params, q.PressurePa, thermal.Plan{
		RampPaS: a.RampPaS, TargetPa: targetPa, HorizonS: (targetPa - q.PressurePa) / a.RampPaS, AmbientK: q.AmbientK,
	}, nil)
	if want := targetPa*c.outK/end.End.GasK - 101325; math.Abs(o.SettlePa-want) > 1e-6*want {
		t.Errorf("settles at %.0f Pa after the fill, want %.0f Pa", o.SettlePa, want)
	}
}

// How long a vessel may stand in the sun, by hand: a lumped wall that gas
// hardly touches goes to its outside as a first-order lag, τ = C/h_o.
func TestHoldLimitByHand(t *testing.T) {
	c := certain()
	c.phase, c.pPa, c.film = phase.Holding, targetPa, 1e-9
	c.gasK, c.wallK, c.outK = 300, 300, 340
	q := c.query()
	tau := q.Estimate.Model.AreaHeatJM2K * math.Exp(q.Estimate.Params[thermal.ParLnHeat]) / math.Exp(q.Estimate.Params[thermal.ParLnOutside])
	want := tau * math.Log((340-300)/(340-q.goalK()))
	_, o := c.plan()
	// A forecast step is up to a minute; the limit is told at its start.
	must.Be(t, o.HoldLimitS <= want+0.5 && o.HoldLimitS >= want-61, "may stand %.0f s, by hand %.0f s", o.HoldLimitS, want)
	c.outK = 310
	if _, o = c.plan(); !math.IsInf(o.HoldLimitS, 1) {
		t.Errorf("may stand %.0f s though the outside is cooler than the limit", o.HoldLimitS)
	}
	// A wider band shortens it.
	c.outK, c.modelK = 340, 2
	if _, o = c.plan(); !(o.HoldLimitS < want-61) {
		t.Errorf("may stand %.0f s with a band of 4 K, without it %.0f s", o.HoldLimitS, want)
	}
}

// How long to wait, by hand: the same lag downward; the answer lies on a grid
// of times that grows by half.
func TestWaitByHand(t *testing.T) {
	c := certain()
	c.phase, c.pPa, c.film = phase.Holding, 10e5, 1e-9
	c.gasK, c.wallK, c.outK = 300, 335, 300
	q := c.query()
	tau := q.Estimate.Model.AreaHeatJM2K * math.Exp(q.Estimate.Params[thermal.ParLnHeat]) / math.Exp(q.Estimate.Params[thermal.ParLnOutside])
	want := tau * math.Log((335-300)/(q.goalK()-300))
	a, _ := c.plan()
	must.Be(t, a.Verdict == VerdictHold && a.RampPaS == 0 && a.WaitS >= want-0.5 && a.WaitS <= 1.5*want+61,
		"%v, ramp %v, wait %.0f s, by hand %.0f s", a.Verdict, a.RampPaS, a.WaitS, want)
	c.outK = 340
	if a, _ = c.plan(); !math.IsNaN(a.WaitS) {
		t.Errorf("wait %.0f s though the outside stays too hot", a.WaitS)
	}
}

// The coldest gas of a vent lies between the isentropic bound
// T (p2/p1)^((k−1)/k) and the start, and at the bound without heat from the
// wall.
func TestVentCold(t *testing.T) {
	c := certain()
	c.phase, c.pPa, c.gasK, c.wallK, c.outK = phase.Venting, 41e5, 300, 300, 300
	c.ramp = -60e5 / 60
	bound := 300 * math.Pow(101325/41e5, 0.4/1.4)
	c.film = 1e-9
	_, o := c.plan()
	must.Be(t, math.Abs(o.VentColdK-bound) <= 3, "without the wall the gas falls to %.1f K, isentropic %.1f K", o.VentColdK, bound)
	adiabatic := o.VentColdK
	c.film = 50
	_, o = c.plan()
	must.Be(t, o.VentColdK > adiabatic+20 && o.VentColdK < 300, "with the wall %.1f K, without %.1f K", o.VentColdK, adiabatic)
	fast := o.VentColdK
	c.ramp = -5e5 / 60
	if _, o = c.plan(); !(o.VentColdK > fast) {
		t.Errorf("a slow vent falls to %.1f K, a fast one to %.1f K", o.VentColdK, fast)
	}
	c.phase, c.ramp = phase.Holding, 0
	if _, o = c.plan(); !(o.VentColdK > 200 && o.VentColdK < 300) {
		t.Errorf("a vent from a hold falls to %.1f K", o.VentColdK)
	}
	c.phase, c.pPa, c.gasK = phase.Venting, 1.5e5, 260 // its end: the wall warms it
	c.ramp = -0.2e5 / 60
	a, _ := c.plan()
	must.Equal(t, a.Reason.String(), wording.LetItVentWarms.String(), "past the coldest")
	c.ramp = 0
	a, o = c.plan()
	must.Be(t, o.VentColdK == 260 && a.Reason.String() == wording.LetItVentWarms.String(), "no fall is seen: %v, %s", o.VentColdK, a.Reason)
	c.ramp = math.NaN()
	a, o = c.plan()
	must.Be(t, math.IsNaN(o.VentColdK) && a.Reason.String() == wording.LetItVentOnly.String(), "how fast it vents is not known: %v, %s", o.VentColdK, a.Reason)
}

// The verdict of each mode, with its reason; no leave to fill is ever given
// with a ramp of zero, nor a ramp without leave.
func TestVerdicts(t *testing.T) {
	set := func(change func(*situation)) situation {
		c := calm()
		change(&c)
		return c
	}
	for name, c := range map[string]struct {
		s      situation
		want   Verdict
		reason string
	}{
		"vented, cool": {calm(), VerdictReady, "wall would peak at"},
		"vented, sun": {set(func(c *situation) { c.wallK, c.outK = 325, 335 }), VerdictNoStart,
			"the sun alone"},
		"vented, nobody read": {set(func(c *situation) { c.stateSigmaK, c.outK = 12, 310 }), VerdictNoStart,
			"nobody has read the wall"},
		"vented, warm wall": {set(func(c *situation) { c.wallK, c.gasK, c.outK = 330, 325, 300 }), VerdictNoStart,
			"even the slowest fill would take the wall to"},
		"vented, its band reaches the limit": {set(func(c *situation) { c.wallK, c.gasK, c.outK, c.stateSigmaK = 316, 316, 315, 3 }), VerdictNoStart,
			"even the slowest fill may take the wall to"},
		"filling, slow": {set(func(c *situation) { c.phase, c.pPa, c.ramp = phase.Filling, 10e5, 3e5/60 }), VerdictFill, "wall would peak at"},
		"filling, fast": {set(func(c *situation) {
			c.phase, c.pPa, c.ramp, c.wallK, c.gasK, c.outK = phase.Filling, 5e5, 120e5/60, 311, 320, 305
		}), VerdictEase, "bar/min the wall may reach"},
		"filling, too warm": {set(func(c *situation) {
			c.phase, c.pPa, c.ramp, c.wallK, c.gasK = phase.Filling, 10e5, 20e5/60, 326, 330
		}), VerdictHold, "shut the supply and wait"},
		"filling, there": {set(func(c *situation) { c.phase, c.pPa, c.ramp = phase.Filling, 40e5+101325, 10e5/60 }), VerdictHold, "target reached"},
		"holding, there": {set(func(c *situation) { c.phase, c.pPa = phase.Holding, 40e5+101325 }), VerdictHold, "at target"},
		"holding, there in the sun": {set(func(c *situation) { c.phase, c.pPa, c.outK = phase.Holding, 40e5+101325, 340 }), VerdictHold,
			"may stay full"},
		"holding, there, too hot to stay": {set(func(c *situation) { c.phase, c.pPa, c.wallK, c.outK = phase.Holding, 40e5+101325, 325, 330 }), VerdictHold,
			"too warm to stay full"},
		"holding, below":    {set(func(c *situation) { c.phase, c.pPa = phase.Holding, 30e5 }), VerdictTopUp, "below target"},
		"holding, too warm": {set(func(c *situation) { c.phase, c.pPa, c.wallK = phase.Holding, 30e5, 330 }), VerdictHold, "too warm"},
		"venting":           {set(func(c *situation) { c.phase, c.pPa, c.ramp = phase.Venting, 30e5, -10e5/60 }), VerdictHold, "Let it vent. Keep your distance."},
		"wall unknown":      {set(func(c *situation) { c.wallK = math.NaN() }), VerdictUnknown, "no estimate"},
		"pressure unknown":  {set(func(c *situation) { c.pPa = math.NaN() }), VerdictUnknown, "no estimate"},
		"band unknown":      {set(func(c *situation) { c.modelK = math.NaN() }), VerdictUnknown, "no estimate"},
	} {
		a, o := c.s.plan()
		must.Be(t, a.Verdict == c.want && strings.Contains(a.Reason.String(), c.reason),
			"%s: %v (%s), want %v (%s)", name, a.Verdict, a.Reason, c.want, c.reason)
		leave := a.Verdict == VerdictReady || a.Verdict == VerdictFill || a.Verdict == VerdictEase || a.Verdict == VerdictTopUp
		must.Be(t, leave == (a.RampPaS > 0), "%s: %v with a ramp of %v", name, a.Verdict, a.RampPaS)
		must.Be(t, !leave || a.PeakK <= onsetK-c.s.reserve, "%s: %v with a peak of %v K", name, a.Verdict, a.PeakK)
		must.Be(t, !strings.Contains(a.Reason.String(), "NaN") && !a.Reason.Empty() && !strings.Contains(strings.ToLower(a.Reason.String()), "safe"),
			"%s: reason %q", name, a.Reason)
		must.Be(t, a.Verdict == VerdictUnknown || len(o.Coast) >= 2 && len(o.Coast) <= 4*pathPoints && !math.IsNaN(o.CoastPeakK),
			"%s: coast path of %d points, peak %v", name, len(o.Coast), o.CoastPeakK)
	}
}

// With no ramp the time to the limit is unknown, before any Plan the abort
// rule is silent, and with an unknown wall it trips.
func TestStopUnknown(t *testing.T) {
	c := calm()
	c.phase, c.ramp, c.pPa = phase.Filling, 20e5/60, 10e5
	q := c.query()
	var pl Planner
	must.Be(t, !pl.StopTooLate(&q), "the rule trips before anything was looked at")
	pl.Plan(q)
	must.Be(t, !pl.StopTooLate(&q), "the rule trips on a cool wall")
	q.Estimate.State.Wall[0][0] = math.NaN()
	must.Be(t, pl.StopTooLate(&q), "the rule does not trip on an unknown wall")
}

// The verdicts have the names of the JSON form.
func TestVerdictNames(t *testing.T) {
	seen := ""
	for v := VerdictUnknown; v <= VerdictVent; v++ {
		seen += v.String() + " "
	}
	want := "hold ready fill ease hold top-up no-start stop vent "
	must.Be(t, seen == want, "verdicts %q, want %q", seen, want)
}

// benchQuery is a fill in its middle at 8 cells and two stations, with all
// parameters uncertain.
func benchQuery() Query {
	c := calm()
	c.cells, c.phase, c.pPa, c.ramp, c.scatter = 8, phase.Filling, 10e5, 20e5/60, 1
	c.wallK, c.gasK, c.outK = 303, 318, 306
	return c.query()
}

// BenchmarkPlan is one look ahead with its directions taken anew.
func BenchmarkPlan(b *testing.B) {
	q := benchQuery()
	var pl Planner
	b.ReportAllocs()
	for b.Loop() {
		pl.Forget()
		pl.Plan(q)
	}
}

// BenchmarkPlanFirst is the first of a watch, where the wall limits the ramp.
func BenchmarkPlanFirst(b *testing.B) {
	q := benchQuery()
	q.ReserveK = 11
	b.ReportAllocs()
	for b.Loop() {
		var pl Planner
		pl.Plan(q)
	}
}

// BenchmarkPlanKept is one while the directions still serve.
func BenchmarkPlanKept(b *testing.B) {
	q := benchQuery()
	var pl Planner
	pl.Plan(q)
	b.ReportAllocs()
	for b.Loop() {
		pl.Plan(q)
	}
}

func BenchmarkStopTooLate(b *testing.B) {
	q := benchQuery()
	var pl Planner
	pl.Plan(q)
	b.ReportAllocs()
	for b.Loop() {
		pl.StopTooLate(&q)
	}
}

// A fuller supply cylinder gives colder gas (throttled at constant enthalpy),
// so the peak at a ramp is lower and the advice never slower, to the grain of
// its search; an unknown one is judged as ambient.
func TestSupplyQuickens(t *testing.T) {
	last, peak := 0.0, math.Inf(1)
	var advised []float64
	for _, supplyPa := range []float64{0, 80e5, 200e5, 300e5} {
		c := calm()
		c.wallK, c.outK, c.scatter, c.reserve = 299, 301, 0.35, 12
		q := c.query()
		q.Estimate.State.Supply.PressurePa = supplyPa
		var pl Planner
		a, _ := pl.Plan(q)
		run := rampPeak(&q, q.Estimate.Model, q.Estimate.State, &q.Estimate.Params, 20e5/60, nil)
		must.Be(t, a.RampPaS >= last/grain && run.PeakK < peak,
			"supply %.0f bar: advised %.1f bar/min, peak at 20 bar/min %.2f K; less full: %.1f bar/min, %.2f K",
			supplyPa/1e5, a.RampPaS*60/1e5, run.PeakK, last*60/1e5, peak)
		last, peak = a.RampPaS, run.PeakK
		advised = append(advised, last*60/1e5)
	}
	must.Be(t, advised[0] > 2 && advised[0] < advised[2], "advised %.1f bar/min: the supply makes no difference", advised)
}
