// Package padcard makes the card for the pad: a page that is left when the
// computer is not. It tells a plan's ramp as gauge marks against the clock, where
// to stop, how long the vessel may stand, and what to do without a screen.
package padcard

import (
	"math"
	"slices"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
)

// Card is what stands on the page, in words.
type Card struct {
	Vessel, Day, Unsaid string
	Verdict             string
	NoGo                bool
	Again               string   // of a no-go: what there is to do
	Why                 []string // what would change it
	Facts               []plan.Line
	Before              []string // to go through before the first gas
	Marks               []Mark
	MarksNote           string
	Stops               []plan.Line
	Alarms              []plan.Line
	Cautions            []string
}

// Mark is a gauge mark with the earliest time at which the gauge may show it.
type Mark struct{ Gauge, NotBefore, Then string }

// New is the card of a plan in the operator's units.
func New(p *plan.Plan, u quantity.System) Card {
	a, s := &p.Answer, &p.Setup
	c := Card{
		Vessel: s.Vessel.Name, Day: s.Day.Said(u), Unsaid: s.Day.Unsaid(), Verdict: a.Headline(u),
		NoGo: a.Verdict == plan.NoGo, Cautions: cautions,
	}
	c.Facts = []plan.Line{
		{Name: "Wall, never over", Text: u.Temperature(a.GoalK) + " (softens from " + u.Temperature(a.OnsetK) + ")"},
		{Name: "Pressure, never over", Text: u.Pressure(float64(s.Vessel.Limits.Pressure))},
	}
	if c.NoGo { // no marks, no wall to begin with
		c.Cautions = slices.Delete(slices.Clone(cautions), marksCaution, marksCaution+1)
		for _, e := range p.Comparison.Alone {
			if use := e.Use(); e.RampPaS > 0 && (use == plan.UseNow || use == plan.UseLater) {
				c.Why = append(c.Why, s.Told(e.Name, u)+" ("+e.CostText()+")")
			}
		}
		if c.Again = "This card has no ramp. Plan again with one of:"; len(c.Why) == 0 {
			c.Again = "This card has no ramp, and no one remedy makes a go of it."
		}
		return c
	}
	_, _, sun := a.Sun.Texts(u)
	_, _, shade := a.Shade.Texts(u)
	c.Facts = slices.Insert(c.Facts, 0, plan.Line{Name: "Wall before gas",
		Text: "sunny line at most " + sun + ", shade at most " + shade + " " + u.TemperatureUnit() + ". Hotter: do not start"})
	c.Facts = append(c.Facts,
		plan.Line{Name: "Target", Text: u.Pressure(a.TargetPa) + ", not before " + clockUp(a.AdvisedInS()) + "; settles to " + u.Pressure(a.SettlePa)},
		plan.Line{Name: "May stand full", Text: a.StandText()})
	if a.CourseAdvised() {
		c.Verdict = "SLOWER, by the marks below. In one steady ramp: at most " + u.Ramp(a.RampPaS)
		if only := a.OnlyIf(); len(only) > 0 {
			c.Verdict = "ONLY IF " + strings.Join(only, ", and ") + ": by the marks below. In one steady ramp: at most " + u.Ramp(a.RampPaS)
		}
	}
	c.Before = before
	if a.Odd != "" {
		c.Before = append([]string{"Read again: " + a.Odd + ". The plan's readings hardly go together"}, c.Before...)
	}
	if !a.Supply.Known {
		c.Before = append([]string{"Supply read: it holds enough gas for " + u.Pressure(a.TargetPa) + ". The plan does not know"}, c.Before...)
	}
	c.Marks, c.MarksNote = marks(a, u)
	c.Stops = stops(p, u)
	c.Alarms = alarms(p, u)
	return c
}

// before is the list before the first gas. Common practice, no source.
var before = []string{
	"Relief valve fitted, its set pressure checked. Proof test on record",
	"Vent tried from the distance, also without power",
	"Everybody behind the barrier. Range safety officer has said yes",
	"Vessel vented, gauge at zero. Clock at hand",
	"Wall read on the sunny line and in the shade: under the limits above",
	"Wind, sun and air as planned. Hotter, calmer or brighter: plan again",
}

// marksCaution is the one of the cautions that speaks of marks.
const marksCaution = 2

// cautions stand on every card.
var cautions = []string{
	"This card is no promise. It knows heat, not whether the vessel is sound.",
	"Nobody goes near a vessel under pressure, to read it or for anything else.",
	"While the live screen works, its advice comes first, faster or slower than these marks: it reads the vessel.",
	"Where senses or gauge disagree with the card: shut, stay away, vent from the distance.",
}

// marksMost is how many marks a hand follows and a card holds.
const marksMost = 10

// marks are round gauge readings on the advised way.
func marks(a *plan.Answer, u quantity.System) ([]Mark, string) {
	legs := a.Course[:1]
	note := "One ramp: " + u.Ramp(a.RampPaS) + ". Slower is always allowed. Ahead of a mark: shut until the clock is there."
	if a.CourseAdvised() {
		legs = a.Course
		note = "Begin at " + u.Ramp(legs[0].RampPaS) + ". Slower is always allowed. Ahead of a mark: shut until the clock is there."
	}
	onePa := unitPa(u)
	step := roundStep(a.TargetPa / onePa / marksMost)
	var out []Mark
	for i, l := range legs {
		if l.RampPaS == 0 {
			out = append(out, Mark{u.Pressure(l.FromPa), quantity.Clock(l.FromS), "shut, and wait until " + quantity.Clock(l.ToS)})
			continue
		}
		for n := math.Floor(l.FromPa/onePa/step) + 1; n*step*onePa < l.ToPa-0.2*step*onePa; n++ {
			pa := n * step * onePa
			out = append(out, Mark{u.Pressure(pa), clockUp(l.FromS + (pa-l.FromPa)/l.RampPaS), ""})
		}
		then := "target: shut the supply"
		if i < len(legs)-1 {
			then = "go on at " + u.Ramp(legs[i+1].RampPaS)
			if legs[i+1].RampPaS == 0 {
				continue // the wait has a mark of its own
			}
		}
		out = append(out, Mark{u.Pressure(l.ToPa), clockUp(l.ToS), then})
	}
	return out, note
}

// clockUp rounds up: a mark may be late, never early.
func clockUp(s float64) string { return quantity.Clock(math.Ceil(s)) }

// unitPa is one of the operator's unit of pressure.
func unitPa(u quantity.System) float64 { return 1e5 / u.PressureValue(1e5) }

// roundStep is the next of 1, 2, 5, 10 … at or over x.
func roundStep(x float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*ten >= x*(1-1e-9) {
			return m * ten
		}
	}
	return 10 * ten
}

// gasMoreK over the forecast is no scatter any more. Common practice, no source.
const gasMoreK = 5.0

func stops(p *plan.Plan, u quantity.System) []plan.Line {
	a := &p.Answer
	return []plan.Line{
		{Name: u.Pressure(a.TargetPa), Text: "shut the supply"},
		{Name: "wall at " + u.Temperature(a.GoalK), Text: "shut the supply"},
		{Name: "gas at " + u.Temperature(a.GasMostK+gasMoreK), Text: "hotter than planned: shut the supply and wait"},
		{Name: "gas at " + u.Temperature(float64(p.Setup.Vessel.Limits.GasCold)), Text: "while venting: vent more slowly"},
	}
}

// alarms are what to do without a computer.
func alarms(p *plan.Plan, u quantity.System) []plan.Line {
	a := &p.Answer
	stand := "leave it shut and vent from the distance when everybody is ready"
	if !math.IsInf(a.StandS, 1) {
		stand = "vent from the distance within " + quantity.Clock(a.StandS) + " of the target"
	}
	return []plan.Line{
		{Name: "Screen or logger dies", Text: "shut the supply. Nobody goes near; " + stand},
		{Name: "Wall over its limit, shut and still rising", Text: "vent from the distance; " + a.VentText(float64(p.Setup.Vessel.Limits.GasCold), u)},
		{Name: "Pressure falls faster than it settles", Text: "a leak: keep away, vent from the distance"},
		{Name: "Pressure rises with the supply shut", Text: "the valve leaks or the sun heats: vent from the distance before " + u.Pressure(float64(p.Setup.Vessel.Limits.Pressure))},
		{Name: "A crack, hiss, smell or bulge", Text: "shut, keep away, vent from the distance"},
		{Name: "Vent does not open", Text: "supply shut, everybody away, wait for who has the duty; do not go near"},
	}
}
