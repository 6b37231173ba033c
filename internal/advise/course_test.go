package advise

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/phase"
)

// warmish is a wall that limits the one ramp, and is cool enough for a fast start.
func warmish() situation {
	c := calm()
	c.wallK, c.gasK, c.outK = 311, 311, 312
	return c
}

// A course that is advised can be followed, and is worth it: it saves more than a
// tenth of the time of the one ramp, slows down, has no leg shorter than four
// reaction times, and neither its bound nor peak and band pass the goal though each
// change comes too late by the reaction time.
func TestCourseAdvised(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		q := drawSituation(t).query()
		var pl Planner
		a, _ := pl.Plan(q)
		if !a.Then.Known() {
			return
		}
		found++
		one, ok := pl.search(&q)
		must.Need(t, ok && a.TargetInS < (1-CourseWorth)*(q.TargetPa-q.PressurePa)/one,
			"target in %.1f s, by one ramp in %.1f s", a.TargetInS, (q.TargetPa-q.PressurePa)/one)
		fromPa := a.Then.FromPa + q.Estimate.Model.AmbientPa
		firstS, lastS := (fromPa-q.PressurePa)/a.RampPaS, (q.TargetPa-fromPa)/a.Then.RampPaS
		if least := 4*q.ReactionS - 1e-6; firstS < least || lastS < least || math.Abs(firstS+lastS-a.TargetInS) > 1e-6 {
			t.Fatalf("legs of %.1f and %.1f s, target in %.1f s", firstS, lastS, a.TargetInS)
		}
		must.Need(t, a.RampPaS <= rampMost && a.Then.RampPaS >= rampLeast*(1-1e-9) && a.Then.RampPaS <= a.RampPaS,
			"%.1f, then %.1f bar/min", a.RampPaS*60/1e5, a.Then.RampPaS*60/1e5)
		must.Need(t, pl.over(&q, &pl.kept.course, false) <= 1e-9 && a.PeakK+a.PeakBandK <= q.goalK()+1e-9,
			"peak %.2f ± %.2f K, goal %.2f K", a.PeakK, a.PeakBandK, q.goalK())
	})
	if a, _ := new(Planner).Plan(warmish().query()); found == 0 && !a.Then.Known() { // of a hundred draws few have one
		t.Error("no course was advised")
	}
}

// A course stands as it was told: over a fill that goes as advised its first ramp
// stays, its mark comes no later than told, and the ramp falls once, at the mark or
// within the reaction time before it. The
// target comes sooner than by the one ramp, looked for anew as often. What is known
// does not grow in this fill.
func TestCourseStands(t *testing.T) {
	c := warmish()
	c.stateSigmaK, c.scatter = 0.15, 0.5 // what grows with the way, not what a measurement would settle
	q := c.query()
	var pl Planner
	a, _ := pl.Plan(q)
	must.Need(t, a.Then.Known(), "no course")
	first, markPa, falls := a.RampPaS, a.Then.FromPa, 0
	m, told := q.Estimate.Model, a.RampPaS
	byCourseS := stepOn(&q, func(q *Query) float64 {
		a, _ = pl.Plan(*q)
		switch {
		case a.Then.Known() && (a.RampPaS != first || a.Then.FromPa > markPa+1):
			t.Fatalf("%.0f s: %.1f bar/min up to %.1f bar, told %.1f up to %.1f", q.TimeS, a.RampPaS*60/1e5, a.Then.FromPa/1e5, first*60/1e5, markPa/1e5)
		case a.Then.Known():
			markPa = a.Then.FromPa
		case q.PressurePa-m.AmbientPa < markPa-q.ReactionS*first:
			t.Fatalf("%.0f s: the change comes at %.1f bar, told %.1f", q.TimeS, (q.PressurePa-m.AmbientPa)/1e5, markPa/1e5)
		}
		if a.RampPaS < 0.8*told {
			falls++
			told = a.RampPaS
		}
		return a.RampPaS
	})
	q = c.query()
	var one Planner
	byRampS := stepOn(&q, func(q *Query) float64 {
		ramp, _ := one.search(q)
		return ramp
	})
	must.Be(t, falls == 1 && byCourseS < (1-CourseWorth)*byRampS, "%.0f s by the course, %.0f s by one ramp, %d falls", byCourseS, byRampS, falls)
}

// stepOn fills second by second at the ramp that is advised, and says how long the
// target takes.
func stepOn(q *Query, advised func(*Query) float64) float64 {
	m, b := q.Estimate.Model, *q.Estimate
	q.Estimate, q.Phase = &b, phase.Filling
	for q.PressurePa < TargetNearShare*q.TargetPa && q.TimeS < 3600 {
		q.RampPaS = advised(q)
		m.StepOpen(&b.State, &b.Params, q.PressurePa, q.PressurePa+q.RampPaS, q.AmbientK, 1)
		q.PressurePa += q.RampPaS
		q.TimeS++
	}
	return q.TimeS
}

// What makes the one ramp slower begins no course whose first leg is faster than
// what was told: the band is widened in the middle of a fill.
func TestDoubtBeginsNoCourse(t *testing.T) {
	for _, factor := range []float64{1.1, 1.3, 1.6, 2, 2.5} {
		c := warmish()
		c.wallK, c.gasK, c.outK = 308.5, 308.5, 309
		c.phase, c.pPa, c.ramp = phase.Filling, 5e5, 20e5/60
		q := c.query()
		var pl Planner
		told, _ := pl.Plan(q)
		for range 40 {
			q.TimeS++
			q.Estimate.BandFactor = factor
			if a, _ := pl.Plan(q); a.RampPaS > told.RampPaS*grain {
				t.Fatalf("widened %.1f times: %.1f bar/min, told %.1f", factor, a.RampPaS*60/1e5, told.RampPaS*60/1e5)
			}
		}
	}
}

// Who stays on the first leg though the change was told still is told to shut in
// time: at that moment going on for the reaction time and stopping keeps the wall,
// with its band, under the onset.
func TestMissedChange(t *testing.T) {
	for _, wall := range []float64{308, 310, 312, 314} {
		c := warmish()
		c.wallK, c.gasK = wall, wall
		q := c.query()
		var pl Planner
		a, _ := pl.Plan(q)
		if !a.Then.Known() {
			continue
		}
		m, b := q.Estimate.Model, *q.Estimate
		q.Estimate, q.Phase, q.RampPaS = &b, phase.Filling, a.RampPaS
		eased := false
		for q.PressurePa < q.TargetPa && !pl.StopTooLate(&q) {
			m.StepOpen(&b.State, &b.Params, q.PressurePa, q.PressurePa+0.2*q.RampPaS, q.AmbientK, 0.2)
			q.PressurePa += 0.2 * q.RampPaS
			q.TimeS += 0.2
			if n := math.Round(q.TimeS * 5); math.Mod(n, 5) == 0 {
				now, _ := pl.Plan(q)
				eased = eased || now.Verdict == VerdictEase || now.Verdict == VerdictHold
			}
			hot, _ := m.HottestOf(&b.State, &b.Params, m.MassKg(b.State.GasK, q.PressurePa)/m.VolumeM3, 0)
			must.Need(t, hot <= q.goalK() || eased,
				"wall %.0f K: at %.1f bar the wall is in its reserve, and nothing was said", wall, q.PressurePa/1e5)
		}
		after := stopPeak(&q, m, b.State, &b.Params, q.ReactionS, nil)
		must.Be(t, eased && after.PeakK < q.OnsetK,
			"wall %.0f K: told to ease off: %v; stopped late at %.1f bar the wall gets to %.1f K, onset %.1f K", wall, eased, q.PressurePa/1e5, after.PeakK, q.OnsetK)
	}
}

// BenchmarkPlanCourse is one look ahead on the first leg of a course, its directions
// kept; and one in which another course is looked for, as every ten seconds.
func BenchmarkPlanCourse(b *testing.B) {
	for _, look := range []bool{false, true} {
		name := map[bool]string{false: "kept", true: "looked-for"}[look]
		b.Run(name, func(b *testing.B) {
			c := warmish()
			c.cells, c.scatter = 8, 0.6
			q := c.query()
			var pl Planner
			pl.Plan(q)
			q.Phase, q.RampPaS = phase.Filling, rampMost/3
			if a, _ := pl.Plan(q); !a.Then.Known() {
				b.Fatal("no course")
			}
			b.ReportAllocs()
			for b.Loop() {
				if look {
					pl.kept.lookS = math.Inf(-1)
				}
				pl.Plan(q)
			}
		})
	}
}
