package wallmodel

import (
	"bytes"
	"fmt"
	"math"
	"regexp"

	"fillwright/internal/thermal"
)

// limit is what a number of a model file can be, in the file's unit. What lies
// outside is a slip of the keyboard, a unit mixed up or a fit gone astray, and
// with such a number the advice is worth nothing.
type limit struct {
	least, most float64
	unit        string
	why         string
}

// parLimits, in the order of the Par constants. Films: free convection of
// gases 2 to 25 W/m²K, forced 25 to 250 (Incropera & DeWitt, table 1.1), and
// dense gas several times that. Exponents: 0 for none, 1 for in proportion;
// laminar and turbulent convection lie between (0.25 to 0.8). Inflow: a
// throttle from 300 bar cools air by some 50 K (Joule–Thomson), a line in the
// sun heats. Ratios to the profile: a profile out by more than twice is a wrong
// profile. Lags and lead loss: common practice, no source.
var parLimits = [thermal.ParCount]limit{
	thermal.ParLnFilm:    {2, 500, "W/m²K", "a film of gas"},
	thermal.ParDensity:   {0, 1.5, "", "0 is no dependence, 1 in proportion"},
	thermal.ParBuoyancy:  {-0.2, 1, "", "0 is no dependence, 1 in proportion"},
	thermal.ParJet:       {0, 400, "W/m²K", "a jet of gas"},
	thermal.ParLnOutside: {2, 200, "W/m²K", "from still air to a storm"},
	thermal.ParInflow:    {-80, 60, "K", "from a throttle to a line in the sun"},
	thermal.ParLnBead:    {0.05, 60, "s", "from a bare wire to a thick sheath"},
	thermal.ParLnConduct: {0.2, 5, "", "of the profile's conductivity"},
	thermal.ParLnHeat:    {0.5, 2, "", "of the profile's wall"},
	thermal.ParLnSkin:    {0.05, 120, "s", "from a foil to a block"},
	thermal.ParStem:      {-0.05, 0.5, "", "share of skin over ambient"},
	thermal.ParSunShare:  {0, 1, "", "share of the surface"},
	thermal.ParUneven:    {-0.2, 1, "", "share of gas minus wall"},
	thermal.ParBeadLoss:  {-0.15, 0.5, "", "share of gas minus wall"},
	thermal.ParBeadJet:   {-0.5, 0.9, "", "share of the inflow"},
	thermal.ParFar:       {-2, 2, "", "share of what lies beyond the jet's reach"},
	thermal.ParLnMix:     {0.5, 120, "s", "from a stirred vessel to a pipe"},
	thermal.ParHand:      {-0.05, 0.5, "", "share of skin over ambient"},
}

// Limits of the other numbers of a model file. A probe 5 K off after its
// offset was taken off is three times the widest class of IEC 60584; sol-air
// temperature makes at most some 60 K of full sun on black (ASHRAE).
var (
	biasLimit      = limit{-5, 5, "K", "more is a broken or a swapped probe: see fillwright offsets"}
	biasSigmaLimit = limit{0.05, 10, "K", "no probe is known better"}
	modelLimit     = limit{0.1, 10, "K", "no model is better"}
	gainLimit      = limit{-20, 80, "K", "from a clear night to full sun on black"}
	gainSigmaLimit = limit{0.1, 60, "K", "no sun is known better"}
	dayLimit       = limit{0.01, 2, "", "no day is more like another, none this unlike"}
	dayInflowLimit = limit{0.1, 40, "K", "no supply is more like another, none this unlike"}
	rampLimit      = limit{0, 1e6, "Pa/s", "600 bar/min"}
	densityLimit   = limit{0, 600, "kg/m³", "air at 600 bar"}
	tempLimit      = limit{180, 500, "K", "what gas and air can be"}
)

// ParRange is what a parameter may be, as the model holds it, rounding kept clear of:
// a fit that stays inside gives a model that can be read again.
func ParRange(i int) (least, most float64) {
	const clear = 1e-9
	l := &parLimits[i]
	inset := clear * (l.most - l.least)
	return thermal.ParInternal(i, l.least+inset), thermal.ParInternal(i, l.most-inset)
}

// outside tells whether a value is not possible; NaN is not.
func (l *limit) outside(v float64) bool { return !(v >= l.least && v <= l.most) }

// refuse says what is possible in place of a value.
func (l *limit) refuse(what string, v float64) error {
	unit := l.unit
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Errorf("%s = %g is not possible: %g to %g%s (%s)", what, v, l.least, l.most, unit, l.why)
}

// check finds the first number that is not possible, with its key in the file.
func (l *Learned) check() (key string, err error) {
	for i := range l.Params {
		if v := thermal.ParValue(i, l.Params[i]); parLimits[i].outside(v) && !l.Variant.Zero[i] {
			return thermal.ParKey(i), parLimits[i].refuse("parameter "+thermal.ParKey(i), v)
		}
	}
	for _, c := range []struct {
		key   string
		value float64
		limit *limit
	}{
		{"unexplained_k", l.DiscrepancyK, &modelLimit},
		{"gas_probe_bias_k", l.Bias.MeanK, &biasLimit},
		{"gas_probe_bias_sigma_k", l.Bias.SigmaK, &biasSigmaLimit},
		{"film_ln", l.Day.FilmLn, &dayLimit}, {"outside_ln", l.Day.OutsideLn, &dayLimit},
		{"inflow_k", l.Day.InflowK, &dayInflowLimit},
	} {
		if c.limit.outside(c.value) {
			return c.key, c.limit.refuse(c.key, c.value)
		}
	}
	if g := l.Gains; g != nil {
		for _, c := range []struct {
			key   string
			value float64
			limit *limit
		}{
			{"shade_above_ambient_k", g.Shade.MeanK, &gainLimit}, {"shade_sigma_k", g.Shade.SigmaK, &gainSigmaLimit},
			{"sunny_line_above_shade_k", g.Lit.MeanK, &gainLimit}, {"sunny_line_sigma_k", g.Lit.SigmaK, &gainSigmaLimit},
		} {
			if c.limit.outside(c.value) {
				return c.key, c.limit.refuse("[sun]: "+c.key, c.value)
			}
		}
	}
	return l.checkRange()
}

// checkRange looks at what the fills covered; 0 says that nothing is known.
func (l *Learned) checkRange() (key string, err error) {
	r := &l.Range
	for _, c := range []struct {
		key   string
		value float64
		limit *limit
	}{
		{"ramp_most_pa_s", r.RampMostPaS, &rampLimit},
		{"density_most_kg_m3", r.DensityMost, &densityLimit},
		{"gas_most_k", r.GasMostK, &tempLimit},
		{"ambient_least_k", r.AmbientLeastK, &tempLimit},
		{"ambient_most_k", r.AmbientMostK, &tempLimit},
	} {
		if c.value != 0 && c.limit.outside(c.value) {
			return c.key, c.limit.refuse("range: "+c.key, c.value)
		}
	}
	if r.AmbientLeastK > r.AmbientMostK {
		return "ambient_least_k", fmt.Errorf("range: ambient_least_k = %g is above ambient_most_k = %g", r.AmbientLeastK, r.AmbientMostK)
	}
	return "", nil
}

// positive tells whether a symmetric matrix is positive definite, by
// Cholesky's method on its correlations; below the least pivot it is so by
// rounding alone.
func positive(cov [][]float64) bool {
	const pivotLeast = 1e-12
	n := len(cov)
	l := make([]float64, n*n)
	for r := range n {
		for c := 0; c <= r; c++ {
			sum := cov[r][c] / math.Sqrt(cov[r][r]*cov[c][c])
			for k := range c {
				sum -= l[r*n+k] * l[c*n+k]
			}
			switch {
			case r != c:
				l[r*n+c] = sum / l[c*n+c]
			case !(sum > pivotLeast):
				return false
			default:
				l[r*n+c] = math.Sqrt(sum)
			}
		}
	}
	return true
}

// lineOf is the line at which a key is given, 0 if it is not found.
func lineOf(data []byte, key string) int {
	found := regexp.MustCompile(`(?m)^[ \t]*["']?` + regexp.QuoteMeta(key) + `["']?[ \t]*=`).FindIndex(data)
	if found == nil {
		return 0
	}
	return 1 + bytes.Count(data[:found[1]], []byte("\n"))
}

// onLine puts a line's number before an error's text.
func onLine(line int, err error) string {
	if line == 0 {
		return err.Error()
	}
	return fmt.Sprintf("line %d: %s", line, err)
}
