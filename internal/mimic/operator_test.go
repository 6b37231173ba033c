package mimic

import (
	"math"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

func planOf() []Segment {
	return []Segment{{Do: Open, ForS: 5}, {Do: Fill, RampPaS: 40e3, ToPa: 40e5}, {Do: Shut, ForS: 60}, {Do: Vent, RampPaS: 20e3}}
}

// A plan is carried out segment by segment, by time and by pressure.
func TestPlannedOperator(t *testing.T) {
	o := &Planned{Plan: planOf()}
	for _, c := range []struct {
		v    View
		want Action
	}{
		{View{0, 0}, Open}, {View{4.9, 0}, Open}, {View{5, 0}, Fill}, {View{90, 39e5}, Fill},
		{View{100, 40e5}, Shut}, {View{159, 38e5}, Shut}, {View{160, 38e5}, Vent},
		{View{300, 1e5}, Vent}, {View{310, 1e3}, Open}, {View{320, 1e5}, Shut},
	} {
		must.Equal(t, o.Command(c.v).Action, c.want, "at %g s, %g bar", c.v.TimeS, c.v.PressurePa/bar)
	}
}

// The follower acts on each verdict about two seconds after it was given, and
// never fills without advice.
func TestFollowingOperator(t *testing.T) {
	var now advise.Advice
	o := &Following{Planned: Planned{Plan: planOf()}, Adviser: func() advise.Advice { return now }}
	at := func(from, to, pa float64) Valve {
		var v Valve
		for s := from; s <= to+1e-9; s += 0.025 {
			v = o.Command(View{s, pa})
		}
		return v
	}
	expect := func(what string, got Valve, want Action, ramp float64) {
		t.Helper()
		must.Be(t, got.Action == want && math.Abs(got.RampPaS-ramp) <= 1,
			"%s: %v at %g Pa/s, want %v at %g", what, got.Action, got.RampPaS, want, ramp)
	}
	expect("no advice", at(0, 10, 0), Shut, 0)
	now = advise.Advice{Verdict: advise.VerdictReady, RampPaS: 30e3}
	expect("still reacting", at(10, 11.8, 0), Shut, 0)
	expect("ready", at(11.8, 12.2, 0), Fill, 30e3)
	now = advise.Advice{Verdict: advise.VerdictEase, RampPaS: 10e3}
	expect("eased", at(12.2, 15, 10e5), Fill, 10e3)
	now = advise.Advice{Verdict: advise.VerdictHold, RampPaS: 0}
	expect("hold", at(15, 18, 12e5), Shut, 0)
	now = advise.Advice{Verdict: advise.VerdictFill, RampPaS: 20e3}
	expect("go on", at(18, 21, 12e5), Fill, 20e3)
	now = advise.Advice{Verdict: advise.VerdictStop}
	expect("stop", at(21, 24, 20e5), Shut, 0)
	now = advise.Advice{Verdict: advise.VerdictFill, RampPaS: 20e3}
	expect("an aborted fill is over", at(24, 60, 20e5), Shut, 0)
	now = advise.Advice{Verdict: advise.VerdictTopUp, RampPaS: 15e3}
	expect("top-up in the hold", at(60, 70, 20e5), Fill, 15e3)
	expect("no top-up at the target", at(70, 72, 39.9e5), Shut, 0)
	now = advise.Advice{Verdict: advise.VerdictVent}
	expect("vent", at(72, 75, 39e5), Vent, ventFastPaS)
	now = advise.Advice{Verdict: advise.VerdictFill, RampPaS: math.NaN()}
	expect("unknown ramp", at(75, 80, 20e5), Shut, 0)
}

// A follower in the loop keeps to the advised ramp; ignoring it does not.
func TestFollowingInTheLoop(t *testing.T) {
	p := vessel.Invented()
	advice := func() advise.Advice { return advise.Advice{Verdict: advise.VerdictFill, RampPaS: 10 * barPerMin} }
	rise := func(follow bool) float64 {
		rows := run(t, p, rushed(), Options{Follow: follow, Adviser: advice, ForS: 40})
		must.Be(t, rows[20].AdviceKnown, "the advice is not in the truth")
		a, b := rows[50], rows[70]
		return (b.PressurePa - a.PressurePa) / (b.TimeS - a.TimeS) / barPerMin
	}
	must.Near(t, "followed ramp, bar/min", rise(true), 10, 1)
	must.Near(t, "planned ramp, bar/min", rise(false), 60, 4)
}
