package wallmodel

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wrongfile"
)

// withLine replaces the value of a key in a model file's text.
func withLine(t *testing.T, text, key, value string) string {
	t.Helper()
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, key+" =") {
			lines[i] = key + " = " + value
			return strings.Join(lines, "\n")
		}
	}
	t.Fatalf("no line %q in\n%s", key, text)
	return ""
}

// Each number of a model file has its limits: a value outside is refused with
// the file, its very line, and what is possible. The first four took every
// warning from the program, or gave a verdict without a margin.
func TestModelLimits(t *testing.T) {
	data := must.Get(learnedExample().Format())(t)
	good := string(data)
	for key, values := range map[string][]string{
		"gas_probe_bias_k":         {"15.0", "-6.0", "nan"},
		"wall_heat_ratio":          {"1e3", "0.1", "-1.0"},
		"jet_w_m2k":                {"1e3", "-1.0", "inf"},
		"film_w_m2k":               {"1e6", "0.5", "nan"},
		"density_exponent":         {"9.0", "-1.0"},
		"buoyancy_exponent":        {"2.0", "-1.0"},
		"outside_w_m2k":            {"0.0", "1e4"},
		"inflow_above_ambient_k":   {"200.0", "-200.0"},
		"bead_s":                   {"0.0", "1e3"},
		"conductivity_ratio":       {"0.0", "100.0"},
		"skin_sensor_s":            {"0.0", "1e3"},
		"skin_sensor_lead_loss":    {"1.0", "-0.5"},
		"gas_probe_bias_sigma_k":   {"-1.0", "1e-9", "100.0"},
		"unexplained_k":            {"0.0", "50.0"},
		"shade_above_ambient_k":    {"300.0", "-90.0"},
		"sunny_line_above_shade_k": {"300.0", "-90.0"},
		"sunny_line_sigma_k":       {"0.0", "1e3"},
		"sunny_share":              {"1.5", "-0.1"},
		"gas_unevenness":           {"2.0", "-1.0"},
		"gas_probe_loss":           {"0.9", "-0.5"},
		"ramp_most_pa_s":           {"-1.0", "1e9"},
		"density_most_kg_m3":       {"-1.0", "1e4"},
		"gas_most_k":               {"60.0", "5e3"},
		"ambient_least_k":          {"20.0", "310.0"},
	} {
		for _, value := range values {
			text := withLine(t, good, key, value)
			line := 1
			for _, l := range strings.Split(text, "\n") {
				if strings.HasPrefix(l, key+" =") {
					break
				}
				line++
			}
			_, err := ParseLearned("plover-model.toml", []byte(text))
			var typed *wrongfile.Error
			if !errors.As(err, &typed) {
				t.Errorf("%s = %s was taken", key, value)
				continue
			}
			for _, part := range []string{"plover-model.toml: ", fmt.Sprintf("line %d: ", line), key, "fillwright learn"} {
				must.Be(t, strings.Contains(err.Error(), part), "%s = %s: error %q does not say %q", key, value, err, part)
			}
		}
	}
}

// A covariance whose pairs are all possible, and which no set of fills gives
// all the same, is refused: three parameters, each against the two others.
func TestCovarianceNotPositive(t *testing.T) {
	l := learnedExample()
	three := []int{thermal.ParLnFilm, thermal.ParDensity, thermal.ParBuoyancy}
	for _, i := range three {
		for _, j := range three {
			if i != j {
				l.Cov[i][j] = -0.9 * rootOf(l, i) * rootOf(l, j)
			}
		}
	}
	data := must.Get(l.Format())(t)
	_, err := ParseLearned("m.toml", data)
	must.Be(t, err != nil && strings.Contains(err.Error(), "positive definite") && strings.Contains(err.Error(), "line "), "got %v", err)
}

func rootOf(l *Learned, i int) float64 {
	_, sigma := l.Variant.Prior(i)
	return sigma
}

// The limits leave room for every handbook value and three sigma about it,
// wherever that is physical, so that no fit of a real vessel is refused.
func TestLimitsLeaveRoom(t *testing.T) {
	for _, variant := range Variants() {
		for i := range thermal.ParCount {
			mean, sigma := variant.Prior(i)
			lo, hi := thermal.ParValue(i, mean-2*sigma), thermal.ParValue(i, mean+2*sigma)
			if i == thermal.ParJet {
				lo = 0 // the share is the square
			}
			if variant.Zero[i] || i == thermal.ParBuoyancy {
				continue
			}
			if lim := parLimits[i]; lo < lim.least-1e-9 || hi > lim.most {
				t.Errorf("%s: %s is %g to %g by the handbook, the limits are %g to %g", variant.Name, thermal.ParKey(i), lo, hi, lim.least, lim.most)
			}
		}
	}
}

// What a fit can't be is not written either.
func TestFormatRefuses(t *testing.T) {
	l := learnedExample()
	l.Params[thermal.ParLnHeat] = 5
	data, err := l.Format()
	must.Be(t, err != nil && data == nil && strings.Contains(err.Error(), "wall_heat_ratio"), "got %q, %v", data, err)
}

// A model whose numbers are all possible, and which predicts nonsense on its
// own vessel, is refused; the handbook's and its neighbours are not.
func TestCheckOn(t *testing.T) {
	v := vessel.Invented()
	f := gas.Table(v.Gas)
	for _, variant := range Variants() {
		l := learnedExample()
		l.Variant = variant
		for i := range l.Params {
			l.Params[i], _ = variant.Prior(i)
		}
		err := l.CheckOn("m.toml", v, f)
		must.Be(t, err == nil, "%s with handbook values: %v", variant.Name, err)
	}
	cold := learnedExample()
	cold.Params[thermal.ParLnFilm], cold.Params[thermal.ParJet] = thermal.ParInternal(thermal.ParLnFilm, 2), 0
	cold.Params[thermal.ParInflow], cold.Params[thermal.ParLnHeat] = -80, thermal.ParInternal(thermal.ParLnHeat, 2)
	var typed *wrongfile.Error
	if err := cold.CheckOn("m.toml", v, f); !errors.As(err, &typed) || !strings.Contains(err.Error(), "m.toml: ") || !strings.Contains(err.Error(), "possible is") {
		t.Errorf("a wall that stays cold: got %v", err)
	}
}
