package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
)

// Caution stands under every plan.
const Caution = "A plan is no promise: it knows heat, not whether the vessel is sound. Stand well back, behind a barrier;\n" +
	"relief valve, proof test, local rules and the range safety officer come first. Read the wall again before the first gas."

// Line is a name with what there is to say of it.
type Line struct{ Name, Text string }

// Headline is the verdict with its ramp or reason. What it hangs on comes first.
func (a *Answer) Headline(u quantity.System) string {
	if a.Verdict == NoGo {
		return "NO-GO: " + a.Whys()
	}
	word, most := "GO", "at most "+u.Ramp(a.RampPaS)
	if a.Verdict == GoSlower {
		word = "SLOWER"
	}
	if a.CourseAdvised() {
		most = "in one ramp " + most + ", or in steps"
	}
	if stand := a.StandOrder(); stand != "" {
		most += "; once full, " + stand
	}
	if only := a.OnlyIf(); len(only) > 0 {
		return "ONLY IF " + strings.Join(only, ", and ") + ": " + most
	}
	return word + ": " + most
}

// Whys is why it is a no-go, all of it.
func (a *Answer) Whys() string {
	if a.And == "" {
		return a.Why
	}
	return a.Why + ", and " + a.And
}

// Texts are a value, two sigma of it, and what both come to, as numbers. The band is what
// lies between the other two as they are printed, so that they add up.
func (e Estimate) Texts(u quantity.System) (value, band, upTo string) {
	value, upTo = u.TemperatureNumber(e.K), u.TemperatureNumber(e.K+e.BandK)
	return value, apart(value, upTo), upTo
}

// apart is the difference of two printed numbers, with as many digits.
func apart(from, to string) string {
	a, errA := strconv.ParseFloat(from, 64)
	b, errB := strconv.ParseFloat(to, 64)
	if errA != nil || errB != nil { // one is not known
		return quantity.Unknown
	}
	_, digits, _ := strings.Cut(to, ".")
	return strconv.FormatFloat(b-a, 'f', len(digits), 64)
}

// apartText is what lies between two temperatures as they are printed, the lower first.
func apartText(u quantity.System, lowK, highK float64) string {
	return apart(u.TemperatureNumber(lowK), u.TemperatureNumber(highK)) + " " + u.TemperatureUnit()
}

// estimateText prints a value with two sigma.
func estimateText(u quantity.System, e Estimate) string {
	value, band, _ := e.Texts(u)
	return value + " ± " + band + " " + u.TemperatureUnit()
}

// Lines are the answer in lines for people.
func (p *Plan) Lines(u quantity.System) []Line {
	a, s := &p.Answer, &p.Setup
	at := ", after " + quantity.Clock(a.PeakInS) + " at that ramp"
	switch {
	case a.Verdict == NoGo && a.RampPaS > 0: // for another reason than the wall
		at = ""
	case a.Verdict == NoGo:
		at = ", even at " + u.Ramp(float64(s.Vessel.Limits.RampLeast))
	}
	peak, band, upTo := a.Peak.Texts(u)
	out := []Line{
		{"wall before gas", "sunny line " + estimateText(u, a.Sun) + ", shade " + estimateText(u, a.Shade)},
		{"wall's peak", peak + " ± " + band + ", up to " + upTo + " " + u.TemperatureUnit() + at},
		{"limit", u.Temperature(a.GoalK) + ", " + a.roomText(u) + "; softens from " + u.Temperature(a.OnsetK) + ", " + apartText(u, a.GoalK, a.OnsetK) + " is the reserve"},
	}
	if t := s.Day.Odd(u); t != "" {
		out = append([]Line{{"look again", t}}, out...)
	}
	if !a.NoFaster.Empty() {
		out = append(out, Line{"no faster", a.NoFaster.In(u)})
	}
	if a.Verdict != NoGo { // the rest of a fill that is not to be
		out = append(out,
			Line{"target", u.Pressure(a.TargetPa) + " after " + quantity.Clock(a.TargetInS) + " min; gas up to " + u.Temperature(a.GasMostK) + ", which is no limit"},
			Line{"settles", a.SettleText(u)},
			Line{"may stand", a.StandText()},
			Line{"vent", a.VentText(float64(s.Vessel.Limits.GasCold), u)})
	}
	if t := a.supplyText(&s.Day, u); a.Verdict != NoGo || a.Supply.Known && !a.Supply.Enough {
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

// SettleText says what the vessel settles to, and the top-ups that that takes.
func (a *Answer) SettleText(u quantity.System) string {
	first := apart(u.PressureNumber(a.SettlePa), u.PressureNumber(a.TargetPa)) + " " + u.PressureUnit()
	ups := fmt.Sprintf("%d top-ups, the first of %s", a.TopUps, first)
	switch {
	case a.TopUps < 0:
		ups = fmt.Sprintf("more than %d top-ups to stand at the target", topUpsMost)
	case a.TopUps == 0:
		ups = "no top-up"
	case a.TopUps == 1:
		ups = "one top-up of " + first
	}
	return "to " + u.Pressure(a.SettlePa) + "; " + ups
}

// VentText says how cold the gas of a vent gets, opened to a rate that keeps it over
// the vessel's limit if there is one, and left so.
func (a *Answer) VentText(coldK float64, u quantity.System) string {
	text := "gas falls to " + u.Temperature(a.VentK) + " if opened to " + u.Ramp(a.VentPaS) + " and left so"
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

// StandOrder is what to do with a full vessel that may not stand as long as it shall; ""
// where it may.
func (a *Answer) StandOrder() string {
	switch {
	case !(a.StandS < a.HoldS):
		return ""
	case a.StandS < 60:
		return "vent at once"
	}
	return fmt.Sprintf("vent after %.0f min", math.Floor(a.StandS/60))
}

// StandShort is StandText in some thirty cells.
func (a *Answer) StandShort() string {
	short, _, _ := strings.Cut(a.StandText(), ", ")
	return strings.Replace(short, "no limit from the wall within", "over", 1)
}

func (a *Answer) supplyText(d *Day, u quantity.System) string {
	t := &a.Supply
	missing := "pressure and volume"
	switch {
	case d.SupplyPa > 0:
		missing = "volume"
	case d.SupplyM3 > 0:
		missing = "pressure"
	}
	out := missing + " not said: look whether it holds enough"
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
		out += "; comes at about " + u.Temperature(t.ThrottledK) + " before the hose warms it"
	}
	return out
}

func (t *Tested) text(u quantity.System) string {
	if !t.Known {
		return ""
	}
	out := u.Pressure(t.Pa) + " held by a wall of " + u.Temperature(t.K) + ", " + apartText(u, t.K, t.K+t.MarginK) + " below softening"
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
	if len(a.Course) > 1 && a.Verdict != NoGo {
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
	b.WriteString(p.comparison(u))
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
	room := a.RoomText(u)
	if over, passed := strings.CutPrefix(room, "-"); passed {
		return "passed by " + over + " by the peak with its band"
	}
	return room + " above the peak with its band"
}

// RoomText is what is left to the limit.
func (a *Answer) RoomText(u quantity.System) string {
	return apartText(u, a.Peak.K+a.Peak.BandK, a.GoalK)
}
