package plan

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/columns"
	"fillwright/internal/quantity"
)

// Caution stands under every plan.
const Caution = "A plan is no promise: it knows heat, not whether the vessel is sound. Stand well back, behind a barrier;\n" +
	"relief valve, proof test, local rules and the range safety officer come first. Read the wall again before the first gas."

// Line is a name with what there is to say of it.
type Line struct{ Name, Text string }

// Headline is the verdict with its ramp or reason.
func (a *Answer) Headline(u quantity.System) string {
	switch a.Verdict {
	case Go:
		return "GO: at most " + u.Ramp(a.RampPaS)
	case GoSlower:
		if a.CourseAdvised() {
			return "SLOWER: at most " + u.Ramp(a.RampPaS) + ", or in steps"
		}
		return "SLOWER: at most " + u.Ramp(a.RampPaS)
	}
	return "NO-GO: " + a.Why
}

// estimateText prints a value with two sigma.
func estimateText(u quantity.System, e Estimate) string {
	return u.TemperatureNumber(e.K) + " ± " + u.Difference(e.BandK)
}

// Lines are the answer in lines for people.
func (p *Plan) Lines(u quantity.System) []Line {
	a, s := &p.Answer, &p.Setup
	at := "at that ramp"
	switch {
	case a.Verdict == NoGo && a.RampPaS > 0: // for another reason than the wall
		at = "at " + u.Ramp(a.RampPaS)
	case a.Verdict == NoGo:
		at = "even at " + u.Ramp(float64(s.Vessel.Limits.RampLeast))
	}
	out := []Line{
		{"wall before gas", "sunny line " + estimateText(u, a.Sun) + ", shade " + estimateText(u, a.Shade)},
		{"wall's peak", u.TemperatureNumber(a.Peak.K) + " ± " + u.DifferenceNumber(a.Peak.BandK) + ", up to " + u.Temperature(a.Peak.K+a.Peak.BandK) + ", after " + quantity.Clock(a.PeakInS) + " " + at},
		{"limit", u.Temperature(a.GoalK) + ", " + a.roomText(u) + "; softens from " + u.Temperature(a.OnsetK) + ", " + u.Difference(a.OnsetK-a.GoalK) + " is the reserve"},
	}
	if a.Verdict != NoGo { // the rest of a fill that is not to be
		out = append(out,
			Line{"target", u.Pressure(a.TargetPa) + " after " + quantity.Clock(a.TargetInS) + " min; gas up to " + u.Temperature(a.GasMostK) + ", which is no limit"},
			Line{"settles", "to " + u.Pressure(a.SettlePa) + "; " + a.topUpText(u)},
			Line{"may stand", a.StandText()},
			Line{"vent", a.VentText(float64(s.Vessel.Limits.GasCold), u)})
	}
	if t := a.supplyText(u); t != "" {
		out = append(out, Line{"supply", t})
	}
	out = append(out, Line{"without a model", "no ramp warms the mean wall by more than " + u.Difference(a.EnergyBoundK) + " (first law, D Δp/4ρct)"})
	if t := a.Tested.text(u); t != "" {
		out = append(out, Line{"cold test", t})
	}
	if p.Sides != "" {
		out = append(out, Line{"warm side", p.Sides})
	}
	return out
}

func (a *Answer) topUpText(u quantity.System) string {
	switch {
	case a.TopUps < 0:
		return fmt.Sprintf("more than %d top-ups to stand at the target", topUpsMost)
	case a.TopUps == 0:
		return "no top-up"
	case a.TopUps == 1:
		return "one top-up of " + u.Pressure(a.TopUpPa)
	}
	return fmt.Sprintf("%d top-ups, the first of %s", a.TopUps, u.Pressure(a.TopUpPa))
}

// VentText says how cold the gas of a vent gets, at a rate that keeps it over the
// vessel's limit if there is one.
func (a *Answer) VentText(coldK float64, u quantity.System) string {
	text := "gas falls to " + u.Temperature(a.VentK) + " at " + u.Ramp(a.VentPaS)
	if !(a.VentK >= coldK) {
		text += ", UNDER the limit of " + u.Temperature(coldK) + ": let it warm before, vent in stages"
	}
	return text
}

// StandText says how long the vessel may stand full.
func (a *Answer) StandText() string {
	switch {
	case math.IsInf(a.StandS, 1):
		return fmt.Sprintf("no limit from the wall within %.0f h", standMostS/3600)
	case math.IsNaN(a.StandS):
		return quantity.Unknown
	case a.StandS < 60:
		return "not at all: vent at once, or shade it from a distance"
	}
	text := fmt.Sprintf("%.0f min", math.Floor(a.StandS/60))
	if a.StandS < a.HoldS {
		text += fmt.Sprintf(" instead of the %.0f min planned", a.HoldS/60)
	}
	return text + ", then vent it, or shade it from a distance"
}

// StandShort is StandText in some thirty cells.
func (a *Answer) StandShort() string {
	short, _, _ := strings.Cut(a.StandText(), ", ")
	return strings.Replace(short, "no limit from the wall within", "over", 1)
}

func (a *Answer) supplyText(u quantity.System) string {
	t := &a.Supply
	out := ""
	if t.Known {
		out = "ends at " + u.Pressure(t.EndPa) + " cold, " + u.Pressure(t.EndWarmPa) + " once warm: "
		if t.Enough {
			out += "enough"
		} else {
			out += "NOT ENOUGH"
		}
		if t.Enough && !math.IsNaN(t.GasK) { // one that runs empty has no last gas to speak of
			out += "; its gas falls to " + u.Temperature(t.GasK)
		}
	}
	if !math.IsNaN(t.ThrottledK) {
		if out != "" {
			out += "; "
		}
		out += "comes at about " + u.Temperature(t.ThrottledK) + " before the hose warms it"
	}
	return out
}

func (t *Tested) text(u quantity.System) string {
	if !t.Known {
		return ""
	}
	out := u.Pressure(t.Pa) + " held by a wall of " + u.Temperature(t.K) + ", " + u.Difference(t.MarginK) + " below softening"
	if !t.Over {
		out += ", LESS than the target"
	}
	return out + "; it says nothing of a wall of " + u.Temperature(t.WallK)
}

// Text is the plan for people without a screen.
func Text(p *Plan, u quantity.System) string {
	var b strings.Builder
	a, d := &p.Answer, &p.Setup.Day
	fmt.Fprintf(&b, "%s: %s\n", p.Setup.Vessel.Name, d.Said(u))
	if t := d.Unsaid(); t != "" {
		fmt.Fprintf(&b, "  not said, and taken wide: %s\n", t)
	}
	fmt.Fprintf(&b, "\n%s\n", a.Headline(u))
	for _, l := range p.Lines(u) {
		fmt.Fprintf(&b, "  %-16s %s\n", l.Name, l.Text)
	}
	if len(a.Course) > 1 {
		fmt.Fprintf(&b, "\nOr in steps, %s to the target, %.0f %% less than at one ramp:\n", quantity.Clock(a.CourseInS), 100*a.CourseSaves)
		for _, l := range a.Course {
			fmt.Fprintf(&b, "  %s\n", l.Text(u))
		}
	}
	if len(a.Narrow) > 0 {
		b.WriteString("\nWhat would narrow it most (the peak's band):\n")
		for _, n := range a.Narrow[:min(len(a.Narrow), narrowShown)] {
			fmt.Fprintf(&b, "  %s: %s\n", n.Do, n.Text(u))
		}
	}
	b.WriteString("\n")
	b.WriteString(p.Comparison.Text(u))
	fmt.Fprintf(&b, "\n%s\n", Caution)
	return b.String()
}

const narrowShown = 4

// Text is the narrowing in figures: "± 9.0 → ± 1.5 °C".
func (n *Narrowing) Text(u quantity.System) string {
	return "± " + u.DifferenceNumber(n.FromK) + " → ± " + u.Difference(n.BandK)
}

// Text is a leg as one would call it out.
func (l *CourseLeg) Text(u quantity.System) string {
	when := quantity.Clock(l.FromS) + " to " + quantity.Clock(l.ToS)
	if l.RampPaS == 0 {
		return when + "  shut, and wait"
	}
	return when + "  " + u.Ramp(l.RampPaS) + " from " + u.Pressure(l.FromPa) + " to " + u.Pressure(l.ToPa)
}

// Said is what was said of the day, in one line.
func (d *Day) Said(u quantity.System) string {
	var out []string
	for _, f := range Fields() {
		if t := f.Text(d, u); t != "" {
			out = append(out, f.Name+" "+t)
		}
	}
	return strings.Join(out, ", ")
}

// Unsaid names what counts and was not said.
func (d *Day) Unsaid() string {
	var out []string
	for _, f := range []struct {
		name string
		said bool
	}{{"air", d.Air.Said}, {"sun", d.Light != LightUnsaid}, {"wind", d.Wind.Said}, {"absorptance", d.Absorptance.Said}, {"how long it stands before", d.StandS.Said}, {"humidity", d.Humidity.Said}} {
		if !f.said {
			out = append(out, f.name)
		}
	}
	return strings.Join(out, ", ")
}

// roomText says what is left between the peak's bound and the limit.
func (a *Answer) roomText(u quantity.System) string {
	if a.RoomK < 0 {
		return "passed by " + u.Difference(-a.RoomK) + " by the peak with its band"
	}
	return u.Difference(a.RoomK) + " above the peak with its band"
}

// Text is the comparison as a table, best first.
func (c *Comparison) Text(u quantity.System) string {
	rows := [][]string{{"remedy, at " + u.Ramp(c.AtPaS), "margin", "then at most", "full in, min", "costs"}}
	for i := range c.Alone {
		rows = append(rows, c.Alone[i].cells(u, ""))
	}
	if len(c.Both.Keys) > 0 {
		rows = append(rows, c.Both.cells(u, "best two: "))
	}
	return columns.Table("", rows)
}

// cells are a row of the table.
func (e *Effect) cells(u quantity.System, before string) []string {
	gain := u.Difference(e.GainK)
	if e.GainK >= 0 {
		gain = "+" + gain
	}
	ramp, in := u.Ramp(e.RampPaS), quantity.Clock(e.FillS)
	if !(e.RampPaS > 0) {
		ramp, in = "no-go", quantity.Unknown
	}
	if use := e.Use(); use == UseUnknown || use == UseDries { // a number would look like leave
		gain, ramp, in = quantity.Unknown, quantity.Unknown, quantity.Unknown
	}
	return []string{before + Told(e.Name, u), gain, ramp, in, e.CostText()}
}

// CostText is what a remedy costs, after what stands against it.
func (e *Effect) CostText() string {
	switch {
	case e.Needs != "":
		return "not compared: say " + e.Needs
	case e.Use() == UseUnknown:
		return "not compared: the wall can't be forecast with it"
	case e.Use() == UseDries:
		return fmt.Sprintf("no use: dry after %.0f min, before the target, and nobody wets it under pressure", e.LastsS/60)
	case e.Later:
		return "not today: " + e.Cost
	}
	return e.Cost
}
