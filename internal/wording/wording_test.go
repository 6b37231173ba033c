package wording

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

func c(x float64) float64      { return x + 273.15 }
func bar(x float64) float64    { return x * 1e5 }
func barMin(x float64) float64 { return x * 1e5 / 60 }

// TestUnits: a sentence in the record's units and in the operator's. 1 bar is
// 14.5038 psi (NIST SP 811), 49 °C is 120.2 °F and 5 K are 9 °F by definition.
func TestUnits(t *testing.T) {
	for _, s := range []struct {
		text            Text
		metric, foreign string
	}{
		{WallWouldPeak(c(47), 5, c(49)), "wall would peak at 47 ± 5 °C, limit 49 °C", "wall would peak at 116.6 ± 9.0 °F, limit 120.2 °F"},
		{StillComesIn(barMin(31)), "gas still comes in at 31.0 bar/min, and none is advised", "gas still comes in at 450 psi/min, and none is advised"},
		{PressureAndLimit(bar(40.2), bar(50)), "40.2 bar, vessel limit 50.0 bar", "583 psi, vessel limit 725 psi"},
		{GasAt(c(-20)), "gas -20 °C", "gas -4.0 °F"},
		{Losing(1.2/6e4, 0.3/6e4), "losing 1.2 ± 0.3 g/min", "losing 1.2 ± 0.3 g/min"},
		{ProbeScatters(0.5), "the gas probe scatters by 0.5 °C", "the gas probe scatters by 0.9 °F"},
		{PressureScatters(bar(0.04)), "the pressure scatters by 0.04 bar", "the pressure scatters by 0.6 psi"},
		{AlarmRaised("caution", "gas-cold", GasAt(c(-20))), "caution gas-cold: gas -20 °C", "caution gas-cold: gas -4.0 °F"},
		{FillOver(670, c(47), 1, bar(40.2), barMin(31), "2 aborts"), "fill over after 670 s: peak 47.0 ± 1.0 °C, 40.2 bar, fastest 31.0 bar/min, 2 aborts",
			"fill over after 670 s: peak 116.6 ± 1.8 °F, 583 psi, fastest 450 psi/min, 2 aborts"},
		{SurfaceRead("sun", c(38.3)).And(EstimateIs(c(41))), "surface sun read 38.3 °C, not used yet: the estimate is 41.0 °C; read again, a second such reading counts",
			"surface sun read 100.9 °F, not used yet: the estimate is 105.8 °F; read again, a second such reading counts"},
	} {
		if got := s.text.String(); got != s.metric {
			t.Errorf("%q, want %q", got, s.metric)
		}
		if got := s.text.In(quantity.SystemPSIF); got != s.foreign {
			t.Errorf("%q, want %q", got, s.foreign)
		}
	}
}

// TestWordsOfPeopleStay: what somebody has typed is printed as he typed it,
// whatever units are chosen, and whatever signs are in it.
func TestWordsOfPeopleStay(t *testing.T) {
	for _, typed := range []string{"hose rated 50 bar at 20 °C", "{} and {}", "100 % {", "wind ignored"} {
		for u := quantity.SystemBarC; u <= quantity.SystemKPaC; u++ {
			for _, text := range []Text{Marked(typed), ReminderSet(60, typed), OtherLogger(typed), AlarmRaised("note", "reminder", Words(typed))} {
				got := text.In(u)
				must.Be(t, strings.HasSuffix(got, typed), "%q became %q", typed, got)
			}
		}
	}
}

// TestUnknownIsNoNumber: what is not known is never told as a number.
func TestUnknownIsNoNumber(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, text := range []Text{WallWouldPeak(x, x, x), PressureAndLimit(x, x), RampNow(x, x), Losing(x, x), ReadingsAreOld(x), ProbeScatters(x)} {
			for u := quantity.SystemBarC; u <= quantity.SystemKPaC; u++ {
				if got := text.In(u); strings.ContainsAny(got, "0123456789") || strings.Contains(got, "NaN") || strings.Contains(got, "Inf") {
					t.Errorf("%g is told as %q", x, got)
				}
			}
		}
	}
}

// TestNothing: the zero Text says nothing, and adds nothing.
func TestNothing(t *testing.T) {
	var none Text
	must.Be(t, none.Empty() && none.String() == "" && Words("").Empty() && none.And(none) == none, "nothing says something")
	got := none.And(ShadeIt).And(none)
	must.Be(t, got == ShadeIt, "%q", got)
}

// TestCase: how a reason becomes a sentence, or a part of one.
func TestCase(t *testing.T) {
	for _, s := range [][2]string{
		{Capital("wall peaks"), "Wall peaks"}, {Capital("40 bar"), "40 bar"}, {Capital(""), ""},
		{Lower("Wall peaks"), "wall peaks"}, {Lower("A wall"), "a wall"}, {Lower("NO"), "NO"},
		{Sentence("gas is cold", "gas-cold"), "gas is cold."}, {Sentence("Shut!", "x"), "Shut!"}, {Sentence("", "gas-cold"), "gas-cold."},
	} {
		must.Be(t, s[0] == s[1], "%q, want %q", s[0], s[1])
	}
}
