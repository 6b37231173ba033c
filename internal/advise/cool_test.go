package advise

import (
	"fmt"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// TestCoolEnoughWhenItSays: a hot vessel that was shaded until its wall is at
// the temperature told may be filled, and a while before that it may not. What
// is left of the time at the rate then is the time told.
func TestCoolEnoughWhenItSays(t *testing.T) {
	for _, hot := range []struct{ wallK, outK float64 }{{340, 345}, {332, 350}, {345, 310}} {
		c := calm()
		c.wallK, c.gasK, c.outK = hot.wallK, hot.wallK, hot.outK
		q := c.query()
		var pl Planner
		a, _ := pl.Plan(q)
		toK, inS := pl.inShade(&q)
		must.Need(t, a.Verdict == VerdictNoStart && toK > q.AmbientK && toK < hot.wallK && inS > coolLeastS && inS < coolMostS,
			"%+v: %s (%s): to %.1f K in %.0f s", hot, a.Verdict, a.Reason, toK, inS)
		must.Be(t, strings.Contains(a.Reason.String(), "shade it until the wall is at") && strings.Contains(a.Reason.String(), wording.Minutes(inS)),
			"%+v: %q does not say to how much, and in what time", hot, a.Reason)
		// The vessel after a time in the shade, whose outside is known to be shade.
		after := func(forS float64) Advice {
			later := c.query()
			b := later.Estimate
			for i := range b.Model.Sides {
				b.State.OutK[i] = q.AmbientK
				at := b.Layout.AtOut(i)
				for k := range b.Layout.N {
					b.Cov[at*b.Layout.N+k], b.Cov[k*b.Layout.N+at] = 0, 0
				}
			}
			run := b.Model.Forecast(b.State, &b.Params, later.PressurePa, thermal.Plan{HorizonS: forS, AmbientK: q.AmbientK}, nil)
			b.State = run.End
			var fresh Planner
			out, _ := fresh.Plan(later)
			return out
		}
		if got := after(1.1 * inS); got.Verdict != VerdictReady {
			t.Errorf("%+v: after the time told: %s (%s)", hot, got.Verdict, got.Reason)
		}
		if got := after(0.4 * inS); got.Verdict != VerdictNoStart {
			t.Errorf("%+v: long before the time told: %s", hot, got.Verdict)
		}
	}
}

// TestTooHotForShade: in air that is too warm no shade is promised to help.
func TestTooHotForShade(t *testing.T) {
	c := calm()
	c.wallK, c.gasK, c.outK = 325, 325, 335
	q := c.query()
	q.AmbientK = 322
	var pl Planner
	a, _ := pl.Plan(q)
	must.Be(t, a.Verdict == VerdictNoStart && strings.Contains(a.Reason.String(), "not enough in air of 49 °C"), "%s: %s", a.Verdict, a.Reason)
}

// TestSunIsOneNumber: what the sun alone may bring the wall to is the same in
// the reason and beside it, and never under what the wall is at.
func TestSunIsOneNumber(t *testing.T) {
	c := calm()
	c.wallK, c.gasK, c.outK = 310, 310, 340
	a, o := c.plan()
	want := fmt.Sprintf("bring the wall to %.0f °C,", o.CoastPeakK+o.CoastPeakBandK-273.15)
	must.Be(t, strings.Contains(a.Reason.String(), want), "%q beside %.1f ± %.1f °C", a.Reason, o.CoastPeakK-273.15, o.CoastPeakBandK)
}
