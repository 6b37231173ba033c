package plan

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

func byKey(c *Comparison, key string) *Effect {
	i := slices.IndexFunc(c.Alone, func(e Effect) bool { return e.Keys[0] == key })
	if i < 0 {
		return nil
	}
	return &c.Alone[i]
}

// TestRemedies proves what is known of each without a model: a resin that softens
// later gains exactly that; whatever takes heat away gains something; what may be
// done now stands before what may not, and that before what is not known; two
// together beat each of theirs.
func TestRemedies(t *testing.T) {
	v := plover(t)
	s := NewSetup(v, nil, sunny(t, "absorptance", "0.8", "wall-sun", "40 °C"))
	c := Compare(s, Solve(s, DepthRamp).RampPaS)
	near(t, "a resin of 10 K more gains, K", byKey(&c, "other-resin").GainK, onsetMoreK, 1e-6)
	for _, key := range []string{"slower", "two-stages", "shade", "white-finish", "wet-wrap", "colder-supply", "lower-target", "water"} {
		e := byKey(&c, key)
		must.Be(t, e != nil && e.GainK > 0.05, "%s gains %+v", key, e)
	}
	sorted := slices.IsSortedFunc(c.Alone, func(a, b Effect) int {
		return cmp.Or(cmp.Compare(a.Use(), b.Use()), -cmp.Compare(a.GainK, b.GainK))
	})
	if last := c.Alone[len(c.Alone)-1]; !sorted || c.Alone[0].Use() != UseNow || last.Use() != UseUnknown || last.Needs == "" {
		t.Errorf("not sorted by use and margin gained: %+v", c.Alone)
	}
	for _, key := range c.Both.Keys {
		must.Be(t, c.Both.GainK >= byKey(&c, key).GainK, "%s gains more alone than %s", key, c.Both.Name)
	}
	w, water := byKey(&c, "wet-wrap"), byKey(&c, "water")
	must.Be(t, water.GainK < w.GainK, "water inside beats a wet wrap, though only the dry wall counts")
}

// TestRemediesThatMakeNoSense proves that none is offered that is in place, or that
// would do nothing.
func TestRemediesThatMakeNoSense(t *testing.T) {
	v := plover(t)
	has := func(d Day, key string) bool {
		s := NewSetup(v, nil, d)
		return slices.ContainsFunc(s.Remedies(), func(r Remedy) bool { return r.Key == key })
	}
	if has(say(t, "sun", "shade"), "shade") || has(say(t, "sun", "shade"), "white-finish") || has(say(t, "absorptance", "0.2"), "white-finish") {
		t.Error("a remedy is offered that is in place")
	}
	must.Be(t, has(say(t, "sun", "850 W/m²"), "shade") && has(say(t, "air", "30 °C", "time", "14:00"), "other-hour"), "a remedy is not offered")
}

// TestWrapDries proves that a wrap that dries before the target is called so.
func TestWrapDries(t *testing.T) {
	v := plover(t, `ramp_most = "60 bar/min"`, `ramp_most = "2.2 bar/min"`)
	s := NewSetup(v, nil, say(t, "air", "38 °C", "sun", "950 W/m²", "wind", "8 m/s", "humidity", "15 %", "absorptance", "0.9"))
	c := Compare(s, 0)
	e := byKey(&c, "wet-wrap")
	must.Be(t, e != nil && e.Use() == UseDries && e.LastsS < e.FillS && strings.Contains(e.CostText(), "dry after"), "%+v", e)
}

// TestTogglesAreTheTable proves that remedies switched on give the ramp that the
// table names for them.
func TestTogglesAreTheTable(t *testing.T) {
	v := plover(t)
	s := NewSetup(v, nil, sunny(t, "wall-sun", "41 °C"))
	c := Compare(s, Solve(s, DepthRamp).RampPaS)
	for _, key := range []string{"shade", "water", "two-stages"} {
		e := byKey(&c, key)
		if got := Solve(s, DepthRamp, key).RampPaS; !(math.Abs(math.Log(got/e.RampPaS)) < 0.01) {
			t.Errorf("%s: %.1f bar/min switched on, %.1f in the table", key, barMinOf(got), barMinOf(e.RampPaS))
		}
	}
}

// TestOtherHour proves what another hour is compared by: a sun that was measured now
// says nothing of another hour, so a clear sky stands in for it where place and date
// were said, and else the remedy says what is missing.
func TestOtherHour(t *testing.T) {
	v := plover(t)
	for _, d := range []Day{sunny(t), sunny(t, "time", "14:00"), sunny(t, "time", "14:00", "place", "47.5, 9.7"), say(t)} {
		s := NewSetup(v, nil, d)
		list := s.otherHour()
		must.Need(t, len(list) == 1 && list[0].Needs != "", "%s: %+v", d.Said(0), list)
		var c Comparison
		e := s.beside(&list[0], nil, &c)
		must.Be(t, e.Use() == UseUnknown && strings.Contains(e.CostText(), list[0].Needs), "%s: %+v", d.Said(0), e)
	}
	dated := sunny(t, "time", "14:00", "place", "47.5, 9.7", "date", "2026-07-14")
	s := NewSetup(v, nil, dated)
	c := Compare(s, 10e5/60)
	if e := byKey(&c, "other-hour"); e == nil || e.Use() != UseNow || !(e.GainK > 3) {
		t.Errorf("in the early morning: %+v", e)
	}
	// At 13:00 a clear sky in July sends some 800 to 1000 W/m² square on, at 6:00 less.
	noon, early := s.dayAt(13), s.dayAt(6)
	if g := noon.SunWM2.Value; !(g > 800 && g < 1100 && early.SunWM2.Value < 0.8*g && noon.SunWM2.Sigma >= clearSun*g) {
		t.Errorf("at noon %.0f W/m², at six %.0f W/m²", g, early.SunWM2.Value)
	}
}

// TestBeside proves that the table follows what is in place: the ramp compared at is
// the one with it, a remedy in place gains what is lost without it, and another what
// it brings besides.
func TestBeside(t *testing.T) {
	v := plover(t)
	s := NewSetup(v, nil, sunny(t, "wall-sun", "42 °C"))
	alone := Compare(s, 12e5/60)
	beside := Compare(s, 12e5/60, "shade")
	near(t, "shade alone and in place, K", byKey(&beside, "shade").GainK, byKey(&alone, "shade").GainK, 1e-6)
	near(t, "margin with shade, K", beside.Before.GainK, alone.Before.GainK+byKey(&alone, "shade").GainK, 1e-6)
	if a, b := byKey(&alone, "colder-supply").RampPaS, byKey(&beside, "colder-supply").RampPaS; !(b > a && b >= beside.Before.RampPaS) {
		t.Errorf("colder gas allows %.1f bar/min, in the shade %.1f, shade alone %.1f", barMinOf(a), barMinOf(b), barMinOf(beside.Before.RampPaS))
	}
	must.Be(t, !slices.Contains(beside.Both.Keys, "shade"), "what is in place is among the best two besides")
}

// TestHalfTheRamp proves that half the ramp, put in place, is half the ramp that was
// found, and that the wall's peak falls by it.
func TestHalfTheRamp(t *testing.T) {
	s := NewSetup(plover(t), nil, sunny(t))
	whole, half := Solve(s, DepthFull), Solve(s, DepthFull, slowerKey)
	near(t, "half the ramp", half.RampPaS/whole.RampPaS, 0.5, 1e-3)
	must.Be(t, half.RoomK > whole.RoomK+0.5 && half.TargetInS > 1.9*whole.TargetInS && !half.CourseAdvised(),
		"%.2f K left at half of a ramp that leaves %.2f K, target after %.0f s and %.0f s", half.RoomK, whole.RoomK, half.TargetInS, whole.TargetInS)
}

// TestHalfInPlace proves that the table beside half the ramp in place halves it once: its
// own row names the answer's ramp.
func TestHalfInPlace(t *testing.T) {
	s := NewSetup(plover(t), nil, sunny(t))
	a := Solve(s, DepthQuick, slowerKey)
	c := Compare(s, a.RampPaS, slowerKey)
	near(t, "half in place, bar/min", barMinOf(byKey(&c, slowerKey).RampPaS), barMinOf(a.RampPaS), 0.02*barMinOf(a.RampPaS))
	near(t, "its peak, K", c.Before.Peak.K, a.Peak.K, 0.05)
}

// TestDigits proves that each remedy has a key of its own, whatever the day.
func TestDigits(t *testing.T) {
	of := map[rune]string{}
	for _, d := range []Day{say(t), sunny(t, "absorptance", "0.8", "time", "14:00"), say(t, "sun", "shade", "time", "14:00")} {
		s := NewSetup(plover(t), nil, d)
		for _, r := range s.Remedies() {
			k, taken := of[r.Digit]
			must.Be(t, !taken || k == r.Key, "%c is %s and %s", r.Digit, k, r.Key)
			of[r.Digit] = r.Key
		}
	}
	must.Be(t, len(of) == 10, "%v", of)
}

// TestTold proves that names of remedies are in the operator's units, and that the wait
// of two stages says at which pressure.
func TestTold(t *testing.T) {
	s := NewSetup(plover(t), nil, sunny(t))
	var names [2]string
	for _, r := range s.Remedies() {
		switch r.Key {
		case "other-resin":
			names[0] = r.Name
		case "two-stages":
			names[1] = r.Name
		}
	}
	for u, want := range map[quantity.System][2]string{
		quantity.SystemBarC: {"onset 10 °C higher", "shut 5 min at 20 bar"}, quantity.SystemPSIF: {"onset 18 °F higher", "shut 5 min at 290 psi"},
	} {
		for i, name := range names {
			must.Equal(t, s.Told(name, u), want[i], "%v", u)
		}
	}
}

// TestStageIsAsNamed proves that the wait is at the pressure that the remedy's name
// says, also beside a lower target.
func TestStageIsAsNamed(t *testing.T) {
	s := NewSetup(plover(t), nil, sunny(t, "target", "30 bar"))
	for _, on := range [][]string{{"two-stages"}, {"two-stages", "lower-target"}} {
		a := Solve(s, DepthFull, on...)
		must.Need(t, len(a.Course) == 3 && a.Course[1].RampPaS == 0, "%v: %+v", on, a.Course)
		near(t, "the wait, bar", a.Course[1].FromPa/1e5, 15, 0.05)
		near(t, "it lasts, s", a.Course[1].ToS-a.Course[1].FromS, stageWaitS, 1)
	}
}
