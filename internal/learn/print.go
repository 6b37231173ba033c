package learn

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/columns"
	"fillwright/internal/thermal"
)

// Text is the result for people: the chosen variant and why, its parameters, the
// variants, each fill, a picture of the residuals, and the warnings.
func Text(r *Result) string {
	var b strings.Builder
	best := r.Best()
	fmt.Fprintf(&b, "Wall model %q for %s, from %d fill%s\n", r.Model.Name, r.Model.Vessel, len(best.Outcome.Fills), plural(len(best.Outcome.Fills)))
	fmt.Fprintf(&b, "Variant: %s. %s\n", best.Outcome.Variant.Name, r.why())
	b.WriteString("\nParameters (± one standard error)\n" + columns.Table("  ", r.parameterRows()))
	if m := best.Outcome.Misfit; m.LastGas > 0 {
		fmt.Fprintf(&b, "\nχ² a reading (1: as noisy as assumed): gas probe %s, wall %s; one in %s and %s readings is news\n",
			number(m.ChiGas), number(m.ChiWall), kelvin(m.LastGas), kelvin(m.LastWall))
	}
	b.WriteString("\nLadder (deviations in °C RMS; left out: each fill predicted from the others)\n" + columns.Table("  ", r.ladderRows()))
	b.WriteString("\nFills (chosen variant, °C)\n" + columns.Table("  ", best.fillRows()))
	for _, f := range best.Outcome.Fills {
		if len(f.Residuals) > 0 {
			fmt.Fprintf(&b, "\n%s: wall readings less model, °C, in order of time\n%s", f.Name, picture(f.Residuals))
		}
	}
	for i, w := range r.Warnings {
		if i == 0 {
			b.WriteString("\nBefore you trust it\n")
		}
		b.WriteString("  ! " + w + "\n")
	}
	return b.String()
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// why says how the variant came to be chosen.
func (r *Result) why() string {
	best := r.Best()
	switch {
	case r.Forced:
		return "It was asked for; no other was tried."
	case math.IsNaN(best.OutGasK):
		return "Chosen by the fit alone: one fill can't be left out."
	case best.Outcome.Variant.Name == preferred:
		return fmt.Sprintf("No other predicts left-out fills better by more than %.0f %%, and it knows the inner face.", (1-clearly)*100)
	}
	return "It predicts left-out fills best."
}

// parameterRows are the parameters: fitted ones with their standard error,
// others with the reason why they have none.
func (r *Result) parameterRows() [][]string {
	o := r.Best().Outcome
	rows := [][]string{{"parameter", "value", "±", "unit", "handbook"}}
	for i := range o.Params {
		value, sigma, unit := number(thermal.ParValue(i, o.Params[i])), "held", thermal.ParUnit(i)
		mean, _ := o.prior(i)
		handbook := number(thermal.ParValue(i, mean))
		switch {
		case o.Variant.Zero[i]:
			value, sigma, handbook = "0", "not in this variant", "-"
		case o.Variant.Free[i]:
			sigma = number(o.StdErr[i] * thermal.ParSlope(i, o.Params[i]))
		}
		rows = append(rows, []string{o.parName(i), value, sigma, dash(unit), handbook})
	}
	return rows
}

func (r *Result) ladderRows() [][]string {
	rows := [][]string{{"variant", "free", "gas", "gas left out", "wall", "wall left out", "score", ""}}
	for i := range r.Steps {
		s, mark := &r.Steps[i], ""
		if i == r.Chosen {
			mark = "<- chosen"
		}
		if !s.Outcome.Converged {
			mark += " did not converge"
		}
		gas, wall := s.fitted()
		rows = append(rows, []string{s.Outcome.Variant.Name, fmt.Sprint(len(s.Outcome.Free)), kelvin(gas), kelvin(s.OutGasK),
			kelvin(wall), kelvin(s.OutWallK), kelvin(s.validationError()), strings.TrimSpace(mark)})
	}
	return rows
}

// fitted is the RMS over the fills of the fit itself; the wall's is weighted by
// the number of readings.
func (s *Step) fitted() (gasK, wallK float64) {
	var gas, wall, nWall float64
	for _, f := range s.Outcome.Fills {
		gas += square(f.GasRMSK)
		if n := float64(len(f.Residuals)); n > 0 {
			wall, nWall = wall+n*square(f.WallRMSK), nWall+n
		}
	}
	return math.Sqrt(gas / float64(len(s.Outcome.Fills))), math.Sqrt(wall / nWall)
}

func (s *Step) fillRows() [][]string {
	rows := [][]string{{"fill", "gas RMS", "wall RMS", "wall worst", "left out: wall RMS", "worst", "probe bias", "film ×", "outside ×", "sunny line, shade"}}
	for i, f := range s.Outcome.Fills {
		worst, outRMS, outWorst := math.NaN(), math.NaN(), math.NaN()
		if len(f.Residuals) > 0 {
			worst = f.WallWorstK
		}
		if i < len(s.LeftOut) && len(s.LeftOut[i].Residuals) > 0 {
			outRMS, outWorst = s.LeftOut[i].WallRMSK, s.LeftOut[i].WallWorstK
		}
		var outside []string
		for _, k := range f.OutK {
			outside = append(outside, fmt.Sprintf("%.1f", k-273.15))
		}
		rows = append(rows, []string{f.Name, kelvin(f.GasRMSK), kelvin(f.WallRMSK), kelvin(worst), kelvin(outRMS), kelvin(outWorst),
			fmt.Sprintf("%+.2f", f.BiasK), kelvin(math.Exp(f.FilmLn)), kelvin(math.Exp(f.OutsideLn)), strings.Join(outside, ", ")})
	}
	return rows
}

// number prints a value to four digits that count.
func number(x float64) string { return dash(finite(x, "%.4g")) }

// kelvin prints a deviation.
func kelvin(x float64) string { return dash(finite(x, "%.2f")) }

func finite(x float64, format string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return fmt.Sprintf(format, x)
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
