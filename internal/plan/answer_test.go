package plan

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// TestSameAsLive proves that the plan's one ramp is the one that the live advice would
// give for the same estimate, on days from cool to hopeless: to a hand that needs an
// hour it advises no course.
func TestSameAsLive(t *testing.T) {
	v := plover(t)
	for _, d := range []Day{
		sunny(t), sunny(t, "wall-sun", "42 °C"), sunny(t, "sun", "shade", "wall-sun", "31 °C"),
		say(t), say(t, "air", "31 °C", "sun", "900 W/m²", "wind", "1 m/s"), sunny(t, "supply", "200 bar"), sunny(t, "wind", "8 m/s"),
	} {
		s := NewSetup(v, nil, d)
		q := newSearch(&s, s.causes())
		got := q.ramp()
		l := &v.Limits
		var live advise.Planner
		a, _ := live.Plan(advise.Query{Estimate: q.b, Phase: phase.Vented, PressurePa: q.b.Model.AmbientPa, AmbientK: s.Day.Air.Value, TargetPa: q.targetPa,
			OnsetK: s.OnsetK, ReserveK: float64(l.Reserve), ReactionS: 3600, RampLeast: float64(l.RampLeast), RampMost: float64(l.RampMost), HoldS: s.Day.HoldS})
		must.Be(t, (got == 0) == (a.Verdict == advise.VerdictNoStart), "plan %.2f bar/min, live %v", barMinOf(got), a.Verdict)
		t.Logf("%q: plan %.2f bar/min, live %.2f, bounds of %.1f K", d.Said(0), barMinOf(got), barMinOf(a.RampPaS), q.bounds[0].bandK)
		if got > 0 && !(math.Abs(math.Log(got/a.RampPaS)) < 0.12) { // directions are taken at other ramps
			t.Errorf("%q: plan %.2f bar/min, live %.2f", d.Said(0), barMinOf(got), barMinOf(a.RampPaS))
		}
	}
}

// TestDoubtSlows proves that what is not said counts against filling: each thing
// left out widens the band and never makes the ramp faster, and what is not a
// number is a no-go.
func TestDoubtSlows(t *testing.T) {
	v := plover(t)
	whole := Solve(NewSetup(v, nil, sunny(t)), DepthRamp)
	for _, without := range []Day{
		say(t, "sun", "850 W/m²", "wind", "2 m/s", "wall-sun", "39 °C"),
		say(t, "air", "30 °C", "wind", "2 m/s", "wall-sun", "39 °C"),
		say(t, "air", "30 °C", "sun", "850 W/m²", "wind", "2 m/s"),
	} {
		a := Solve(NewSetup(v, nil, without), DepthRamp)
		must.Be(t, a.RampPaS <= 1.02*whole.RampPaS,
			"%q said: %.1f bar/min, with all %.1f", without.Said(0), barMinOf(a.RampPaS), barMinOf(whole.RampPaS))
	}
	bad := sunny(t)
	bad.Air.Value = math.NaN()
	if a := Solve(NewSetup(v, nil, bad), DepthFull); a.Verdict != NoGo || a.RampPaS != 0 || a.Why == "" {
		t.Errorf("air not a number: %v %q", a.Verdict, a.Why)
	}
}

// TestCourse proves on days drawn at random that the course keeps the wall's bound
// under the limit, along every direction that was taken and its own; that no leg is
// shorter than a hand can follow; and that it is never slower than one ramp.
func TestCourse(t *testing.T) {
	saved, r := 0.0, rand.New(rand.NewPCG(1, 2))
	within := func(least, most float64) float64 { return least + (most-least)*r.Float64() }
	for i := range 12 {
		tube := [2][2]string{{"90 mm", "10.2 L"}, {"150 mm", "28 L"}}[i%2]
		v := plover(t, `"90 mm"`, `"`+tube[0]+`"`, `"10.2 L"`, `"`+tube[1]+`"`)
		d := NewDay()
		d.SayAir(within(278, 305))
		d.SaySun(within(0, 900))
		d.SayWind(within(0.5, 8))
		d.WallSunK = d.Air.Value + within(0, 8)
		s := NewSetup(v, nil, d)
		q := newSearch(&s, s.causes())
		a := Answer{OnsetK: s.OnsetK, RampPaS: q.ramp()}
		if a.RampPaS == 0 {
			continue
		}
		a.TargetInS = q.lengthS(q.one(a.RampPaS))
		q.tellCourse(&a)
		must.Be(t, a.CoursePeak.K+a.CoursePeak.BandK <= q.goalK+0.01, "bound %.2f over %.2f", a.CoursePeak.K+a.CoursePeak.BandK, q.goalK)
		must.Be(t, len(a.Course) <= LegsMost && a.CourseInS <= 1.01*a.TargetInS,
			"%d legs, %.0f s against %.0f s", len(a.Course), a.CourseInS, a.TargetInS)
		for _, l := range a.Course {
			must.Be(t, (len(a.Course) <= 1 || l.ToS-l.FromS >= 0.99*q.legLeastS) && l.RampPaS <= q.mostPaS*1.001, "leg %+v", l)
		}
		saved = math.Max(saved, a.CourseSaves)
	}
	must.Be(t, saved >= CourseWorth, "no course saved more than %.0f %%", 100*saved)
}

// TestStand proves that a vessel that the sun takes past its limit may not stand for
// ever, and one in the shade may.
func TestStand(t *testing.T) {
	v := plover(t)
	hot := Solve(NewSetup(v, nil, say(t, "air", "33 °C", "sun", "950 W/m²", "wind", "0.5 m/s", "stand", "3 min", "wall-sun", "37 °C", "target", "10 bar")), DepthQuick)
	must.Be(t, hot.StandS < 3600, "in the sun it may stand %g s", hot.StandS)
	cool := Solve(NewSetup(v, nil, say(t, "air", "20 °C", "sun", "shade", "wind", "2 m/s")), DepthQuick)
	must.Be(t, math.IsInf(cool.StandS, 1) && cool.Verdict != NoGo, "in the shade: %v, it may stand %g s", cool.Verdict, cool.StandS)
	must.Be(t, cool.VentK >= float64(v.Limits.GasCold), "the vent named takes the gas to %.1f °C", celsius(cool.VentK))
	text := cool.VentText(cool.VentK+1, 0)
	must.Be(t, strings.Contains(text, "UNDER the limit"), "a vent under the limit is told as %q", text)
	// Gas that settles from 40 bar at some 35 K over the air keeps 273+20 / 273+55 of it.
	must.Be(t, cool.TopUps >= 1 && cool.SettlePa < 0.95*cool.TargetPa && cool.TopUpPa > 1e5,
		"settles to %.1f bar, %d top-ups of %.1f bar", cool.SettlePa/1e5, cool.TopUps, cool.TopUpPa/1e5)
}

// TestNarrowing proves that a reading promised is a reading had: the band that the
// plan names for it is the one that it gets once the reading is said.
func TestNarrowing(t *testing.T) {
	v := plover(t)
	d := say(t, "air", "30 °C", "sun", "850 W/m²", "wind", "2 m/s")
	s := NewSetup(v, nil, d)
	a := Solve(s, DepthFull)
	must.Need(t, len(a.Narrow) != 0 && a.Narrow[0].Do == readSun, "%+v", a.Narrow)
	s.Day.WallSunK = a.Sun.K
	read := Solve(s, DepthFull)
	q := newSearch(&s, s.causes())
	one := q.one(math.Max(a.RampPaS, q.leastPaS))
	near(t, "band with the reading, K", q.aim(one).bandK, a.Narrow[0].BandK, 0.05*a.Narrow[0].BandK)
	must.Be(t, read.Sun.BandK < 0.25*a.Sun.BandK, "the sunny line is known to ± %.1f K, before to ± %.1f K", read.Sun.BandK, a.Sun.BandK)
}

// BenchmarkPlan is a whole plan, remedies and all.
func BenchmarkPlan(b *testing.B) {
	d := sunny(b, "supply", "200 bar", "supply-volume", "50 L")
	v := plover(b)
	for b.Loop() {
		Make(NewSetup(v, nil, d))
	}
}

// TestGivesNoLeap proves that a plan gives leave for no ramp that the live screen
// would not offer before the first gas: of a model whose fills were slow 1.75 times
// the fastest, and one that leaves a hand five reaction times. It says why.
func TestGivesNoLeap(t *testing.T) {
	v := plover(t)
	day := say(t, "air", "20 °C", "sun", "shade", "wind", "2 m/s", "wall-sun", "20 °C", "wall-shade", "20 °C")
	free := Solve(NewSetup(v, nil, day), DepthFull)
	must.Need(t, free.NoFaster.Empty() && barMinOf(free.RampPaS) > 20, "%.1f bar/min: %q", barMinOf(free.RampPaS), free.NoFaster)
	slow := *wallmodel.HandbookFor(v)
	slow.Range.RampMostPaS = 10e5 / 60
	hand := *v
	hand.Limits.Reaction = 30
	for _, one := range []struct {
		v       *vessel.Profile
		m       *wallmodel.Learned
		mostBar float64
		says    string
	}{{v, &slow, 17.5, "fastest fill learned from: 10.0 bar/min"}, {&hand, nil, 40 * 60 / 150.0, "faster leaves no time to react"}} {
		p := Make(NewSetup(one.v, one.m, day))
		a := &p.Answer
		must.Be(t, a.Verdict == GoSlower && barMinOf(a.RampPaS) <= one.mostBar+1e-9 && barMinOf(a.RampPaS) > 0.8*one.mostBar,
			"%v at %.1f bar/min, most %.1f", a.Verdict, barMinOf(a.RampPaS), one.mostBar)
		says := ""
		for _, l := range p.Lines(quantity.SystemBarC) {
			if l.Name == "no faster" {
				says = l.Text
			}
		}
		must.Equal(t, says, one.says, "no faster")
	}
}
