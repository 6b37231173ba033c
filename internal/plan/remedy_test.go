package plan

import (
	"math"
	"slices"
	"testing"

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
// later gains exactly that; whatever takes heat away gains something; the table is
// sorted; two together beat each of theirs.
func TestRemedies(t *testing.T) {
	v := plover(t)
	s := NewSetup(v, nil, sunny(t, "absorptance", "0.8", "wall-sun", "44 °C"))
	c := Compare(s, Solve(s, DepthRamp).RampPaS)
	near(t, "a resin of 10 K more gains, K", byKey(&c, "other-resin").GainK, onsetMoreK, 1e-6)
	for _, key := range []string{"slower", "two-stages", "shade", "white-finish", "wet-wrap", "colder-supply", "lower-target", "water"} {
		if e := byKey(&c, key); e == nil || !(e.GainK > 0.1) {
			t.Errorf("%s gains %+v", key, e)
		}
	}
	if !slices.IsSortedFunc(c.Alone, func(a, b Effect) int {
		return map[bool]int{true: -1, false: 1}[a.GainK >= b.GainK]
	}) {
		t.Error("not sorted by margin gained")
	}
	for _, key := range c.Both.Keys {
		if !(c.Both.GainK >= byKey(&c, key).GainK) {
			t.Errorf("%s gains more alone than %s", key, c.Both.Name)
		}
	}
	if w, water := byKey(&c, "wet-wrap"), byKey(&c, "water"); !(water.GainK < w.GainK) {
		t.Error("water inside beats a wet wrap, though only the dry wall counts")
	}
}

// TestRemediesThatMakeNoSense proves that none is offered that is in place, or that
// would do nothing.
func TestRemediesThatMakeNoSense(t *testing.T) {
	v := plover(t)
	has := func(d Day, key string) bool {
		s := NewSetup(v, nil, d)
		return slices.ContainsFunc(s.Remedies(), func(r Remedy) bool { return r.Key == key })
	}
	if has(say(t, "sun", "shade"), "shade") || has(say(t, "sun", "shade"), "white-finish") || has(say(t, "absorptance", "0.2"), "white-finish") || has(say(t), "other-hour") {
		t.Error("a remedy is offered that is in place, or of which nothing is known")
	}
	if !has(say(t, "sun", "850 W/m²"), "shade") || !has(say(t, "air", "30 °C", "time", "14:00"), "other-hour") {
		t.Error("a remedy is not offered")
	}
}

// TestWrapDries proves that a wrap that dries before the target is called so.
func TestWrapDries(t *testing.T) {
	v := plover(t, `ramp_most = "60 bar/min"`, `ramp_most = "2.2 bar/min"`)
	s := NewSetup(v, nil, say(t, "air", "38 °C", "sun", "950 W/m²", "wind", "8 m/s", "humidity", "15 %", "absorptance", "0.9"))
	c := Compare(s, 0)
	if e := byKey(&c, "wet-wrap"); e == nil || !e.Expires || !(e.LastsS < e.FillS) {
		t.Errorf("%+v", e)
	}
}

// TestTogglesAreTheTable proves that remedies switched on give the ramp that the
// table names for them.
func TestTogglesAreTheTable(t *testing.T) {
	v := plover(t)
	s := NewSetup(v, nil, sunny(t, "wall-sun", "41 °C"))
	c := Compare(s, Solve(s, DepthRamp).RampPaS)
	for _, key := range []string{"shade", "water", "two-stages"} {
		e := byKey(&c, key)
		if got := Solve(s, DepthRamp, key).RampPaS; !(math.Abs(math.Log(got/e.RampPaS)) < 0.25) {
			t.Errorf("%s: %.1f bar/min switched on, %.1f in the table", key, barMinOf(got), barMinOf(e.RampPaS))
		}
	}
}

// TestTold proves that names of remedies are in the operator's units.
func TestTold(t *testing.T) {
	for u, want := range map[quantity.System]string{quantity.SystemBarC: "onset 10 °C higher", quantity.SystemPSIF: "onset 18 °F higher"} {
		if got := Told("onset "+tenKText+" higher", u); got != want {
			t.Errorf("%v: %q, want %q", u, got, want)
		}
	}
}
