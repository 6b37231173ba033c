package plan

import (
	"fmt"
	"slices"

	"fillwright/internal/columns"
	"fillwright/internal/quantity"
)

// comparison is the remedies as a table, best first. Of a no-go it names a ramp
// only behind the word of what is to be done first: nothing in it is leave to begin.
func (p *Plan) comparison(u quantity.System) string {
	c, noGo := &p.Comparison, p.Answer.Verdict == NoGo
	head := []string{"remedy, at " + u.Ramp(c.AtPaS), "margin", "then at most", "full in, min", "costs"}
	if noGo {
		head = []string{"remedy", "margin", "if done", "costs"}
	}
	rows := [][]string{head}
	row := func(e *Effect, before string) {
		gain, ramp, in := e.Figures(u)
		if gain != quantity.Unknown {
			gain += " " + u.TemperatureUnit()
		}
		if in != quantity.Unknown { // there is a ramp with it
			ramp += " " + u.RampUnit()
		}
		then := []string{ramp, in}
		if noGo {
			word, most := e.IfDone(&p.Setup, u)
			if most != "" {
				word += " " + most + " " + u.RampUnit()
			}
			then = []string{word}
		}
		rows = append(rows, slices.Concat([]string{before + p.Setup.Told(e.Name, u), gain}, then, []string{e.CostText()}))
	}
	for i := range c.Alone {
		row(&c.Alone[i], "")
	}
	if len(c.Both.Keys) > 0 {
		row(&c.Both, "best two: ")
	}
	return columns.Table("", rows)
}

// Figures are a remedy's margin, ramp and time as numbers. What is of no use, or not
// known, has none: a number would look like leave.
func (e *Effect) Figures(u quantity.System) (gain, ramp, in string) {
	if use := e.Use(); use == UseUnknown || use == UseDries {
		return quantity.Unknown, quantity.Unknown, quantity.Unknown
	}
	gain = u.DifferenceNumber(e.GainK)
	if e.GainK >= 0 {
		gain = "+" + gain
	}
	if !(e.RampPaS > 0) {
		return gain, "no-go", quantity.Unknown
	}
	return gain, u.RampNumber(e.RampPaS), quantity.Clock(e.FillS)
}

// IfDone is the verdict of a no-go's day once a remedy is in place, as a word, and the
// ramp that there is then; "" where there is none.
func (e *Effect) IfDone(s *Setup, u quantity.System) (word, most string) {
	switch use := e.Use(); {
	case use == UseUnknown || use == UseDries:
		return quantity.Unknown, ""
	case !(e.RampPaS > 0):
		return "no-go", ""
	case e.RampPaS >= float64(s.Vessel.Limits.RampMost):
		return "go", u.RampNumber(e.RampPaS)
	}
	return "slower", u.RampNumber(e.RampPaS)
}

// CostText is what a remedy costs, after what stands against it.
func (e *Effect) CostText() string {
	switch {
	case e.Needs != "":
		return "say " + e.Needs
	case e.Use() == UseUnknown:
		return "not compared: the wall can't be forecast with it"
	case e.Use() == UseDries:
		return fmt.Sprintf("no use: dry after %.0f min, before the target; nobody wets it under pressure", e.LastsS/60)
	case e.Later:
		return "not today: " + e.Cost
	}
	return e.Cost
}
