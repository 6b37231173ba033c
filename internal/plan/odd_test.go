package plan

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// TestOdd proves that a sunny side which was read colder than the air, or than the
// shaded side, is asked about and taken all the same, but that leave hangs on its being
// read so again; that what a thermometer and a hand
// differ by is not, nor a wall in the shade, nor what was not said.
func TestOdd(t *testing.T) {
	u := quantity.SystemBarC
	for _, c := range []struct{ said, want string }{
		{"air 30 °C,sun 850 W/m²,wall-sun 24 °C", "COLDER than the air"},
		{"sun 850 W/m²,wall-sun 30 °C,wall-shade 38 °C", "COLDER than the shaded one"},
		{"air 30 °C,sun 850 W/m²,wall-sun 29 °C", ""},
		{"air 30 °C,sun 850 W/m²,wall-sun 39 °C,wall-shade 31 °C", ""},
		{"air 30 °C,sun shade,wall-sun 24 °C", ""},
		{"sun 850 W/m²,wall-sun 24 °C", ""},
	} {
		var said []string
		for _, f := range strings.Split(c.said, ",") {
			name, value, _ := strings.Cut(f, " ")
			said = append(said, name, value)
		}
		d := say(t, said...)
		got := d.Odd(u)
		must.Be(t, strings.Contains(got, c.want) && (got == "") == (c.want == ""), "%s: %q", c.said, got)
		p := Make(NewSetup(plover(t), nil, d))
		must.Be(t, strings.Contains(Text(&p, u), "look again") == (c.want != ""), "%s: the text does not ask", c.said)
		asked := strings.Contains(p.Answer.Headline(u), "ONLY IF") && strings.Contains(p.Answer.Headline(u), "read so again")
		must.Be(t, asked == (c.want != "" && p.Answer.Verdict != NoGo), "%s: leave without a second look: %s", c.said, p.Answer.Headline(u))
	}
}

// TestIfDone proves that a remedy of a no-go's day has the ramp that there is with it
// behind its word, and one that leaves it a no-go none.
func TestIfDone(t *testing.T) {
	s := NewSetup(plover(t), nil, say(t, "air", "36 °C", "sun", "950 W/m²", "wind", "1 m/s", "absorptance", "0.8", "wall-sun", "52 °C"))
	p := Make(s)
	must.Need(t, p.Answer.Verdict == NoGo, "no no-go: %v", p.Answer.Verdict)
	helps, not := 0, 0
	for i := range p.Comparison.Alone {
		e := &p.Comparison.Alone[i]
		word, most := e.IfDone(&s, quantity.SystemBarC)
		switch e.Use() {
		case UseNow:
			helps++
			must.Be(t, most != "" && (word == "slower" || word == "go"), "%v: %q %q", e.Keys, word, most)
		case UseShort:
			not++
			must.Be(t, word == "no-go" && most == "", "%v: %q %q", e.Keys, word, most)
		}
	}
	must.Be(t, helps > 0 && not > 0, "%d help, %d do not", helps, not)
}

// TestNobodyHalvesTheLeastRamp proves that half the ramp is no remedy where the valve
// can't hold half of it, or where there is no ramp.
func TestNobodyHalvesTheLeastRamp(t *testing.T) {
	s := NewSetup(plover(t), nil, sunny(t))
	least := float64(s.Vessel.Limits.RampLeast)
	for _, c := range []struct {
		rampPaS float64
		want    bool
	}{{2 * least, true}, {1.5 * least, false}, {least, false}, {0, false}, {math.NaN(), false}} {
		cmp := Compare(s, c.rampPaS)
		must.Be(t, (byKey(&cmp, slowerKey) != nil) == c.want, "at %.0f Pa/s half the ramp is compared: %t", c.rampPaS, !c.want)
	}
	on := Compare(s, least, slowerKey)
	must.Be(t, byKey(&on, slowerKey) != nil, "what is in place can't be taken away")
}

// TestStandOrder proves that a vessel which may not stand as long as it shall has that
// beside the verdict, and one that may has nothing.
func TestStandOrder(t *testing.T) {
	for _, c := range []struct {
		standS float64
		want   string
	}{{8*60 + 20, "vent after 8 min"}, {30, "vent at once"}, {900, ""}, {math.Inf(1), ""}, {math.NaN(), ""}} {
		a := Answer{Verdict: GoSlower, RampPaS: 1e4, StandS: c.standS, HoldS: 900}
		must.Be(t, a.StandOrder() == c.want, "%q, want %q", a.StandOrder(), c.want)
		must.Be(t, strings.Contains(a.Headline(quantity.SystemBarC), "once full") == (c.want != ""), "headline: %q", a.Headline(quantity.SystemBarC))
	}
}
