package padcard

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// made is the plan of the invented vessel on a day: key, text, key, text.
func made(t *testing.T, pairs ...string) *plan.Plan {
	t.Helper()
	v := vessel.Invented()
	d := plan.NewDay()
	for i := 0; i < len(pairs); i += 2 {
		f, _ := plan.FieldOf(pairs[i])
		must.Do(t, f.Set(&d, pairs[i+1]))
	}
	p := plan.Make(plan.NewSetup(v, nil, d))
	return &p
}

// shady is a plan in the shade, with an invented course, so that a card does not
// change with the physics.
func shady(t *testing.T) *plan.Plan {
	p := made(t, "air", "30 °C", "sun", "shade", "wind", "2 m/s", "wall-sun", "31 °C", "tested", "60 bar at 18 °C")
	a := &p.Answer
	a.Verdict, a.RampPaS, a.TargetInS, a.CourseInS, a.CourseSaves = plan.GoSlower, 28.5e5/60, 84, 73, 0.13
	a.Course = []plan.CourseLeg{{RampPaS: 60e5 / 60, ToPa: 30e5, ToS: 30}, {RampPaS: 14e5 / 60, FromPa: 30e5, ToPa: 40e5, FromS: 30, ToS: 30 + 600.0/14}}
	return p
}

// TestMarks proves that no mark comes before the advised way may pass it, that they
// rise, that the last is the target, and that they are round in the operator's unit.
func TestMarks(t *testing.T) {
	p := shady(t)
	must.Need(t, p.Answer.CourseAdvised(), "the example's course is not advised")
	allowedS := func(pa float64) float64 {
		for _, l := range p.Answer.Course {
			if l.RampPaS > 0 && pa <= l.ToPa+1 {
				return l.FromS + (pa-l.FromPa)/l.RampPaS
			}
		}
		return math.Inf(1)
	}
	for _, u := range []quantity.System{quantity.SystemBarC, quantity.SystemPSIF, quantity.SystemKPaC} {
		c := New(p, u)
		last := -1.0
		for _, m := range c.Marks {
			pa := must.Get(quantity.ParsePressure(m.Gauge))(t)
			min, sec, _ := strings.Cut(m.NotBefore, ":")
			a, _ := strconv.Atoi(min)
			b, _ := strconv.Atoi(sec)
			at := float64(60*a + b)
			coarse := 0.5 * unitPa(u) / p.Answer.Course[0].RampPaS
			must.Be(t, at >= allowedS(float64(pa))-coarse && float64(pa) > last, "%v: %+v, allowed from %.1f s", u, m, allowedS(float64(pa)))
			last = float64(pa)
			n := u.PressureValue(float64(pa))
			must.Be(t, m.Then != "" || math.Abs(n/5-math.Round(n/5)) <= 1e-3, "%s is not round", m.Gauge)
		}
		if n := len(c.Marks); n < 5 || n > marksMost+4 || !strings.HasPrefix(c.Marks[n-1].Then, "target") || math.Abs(last-p.Answer.TargetPa) > unitPa(u) {
			t.Errorf("%v: %d marks, the last at %.2f bar", u, len(c.Marks), last/1e5)
		}
	}
}

// TestNoGo proves that the card of a no-go has no marks to fill by, and says what
// would change it.
func TestNoGo(t *testing.T) {
	c := New(made(t, "air", "36 °C", "sun", "950 W/m²", "wind", "1 m/s"), quantity.SystemBarC)
	text := c.Text()
	if !c.NoGo || len(c.Marks) > 0 || strings.Contains(text, "not before") || strings.Contains(text, "marks") || strings.Contains(text, "bar/min") || !strings.Contains(text, "Do not fill on this day") || len(c.Why) == 0 {
		t.Errorf("%s", text)
	}
}

// TestSaid proves that page and text tell the same, that nothing on the page can be
// markup of a vessel's name, and that lines of text keep to their width.
func TestSaid(t *testing.T) {
	p := shady(t)
	v := *p.Setup.Vessel
	v.Name = "<b>Plover & Co"
	p.Setup.Vessel = &v
	c := New(p, quantity.SystemBarC)
	page := must.Get(c.Page())(t)
	must.Be(t, !strings.Contains(string(page), "<b>Plover") && strings.Contains(string(page), "&lt;b&gt;Plover &amp; Co"),
		"the vessel's name is markup")
	text := c.Text()
	flat := strings.Join(strings.Fields(text), " ")
	for _, m := range c.Marks {
		must.Be(t, strings.Contains(string(page), "not before "+m.NotBefore) && strings.Contains(text, m.NotBefore), "mark %+v is missing", m)
	}
	for _, l := range append(append([]string{}, c.Before...), c.Cautions...) {
		must.Be(t, strings.Contains(flat, strings.Join(strings.Fields(l), " ")) && strings.Contains(string(page), l), "%q is missing", l)
	}
	for _, l := range strings.Split(text, "\n") {
		n := len([]rune(l))
		must.Be(t, n <= textWidth+2, "%d columns: %s", n, l)
	}
}
