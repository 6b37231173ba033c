package wallmodel

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wrongfile"
)

func learnedExample() *Learned {
	l := Handbook()
	l.Name, l.Vessel, l.Created = "Plover, invented", "Plover", "2025-06-01"
	l.Fills = []string{"a.fwrun", "b.fwrun"}
	l.Day = Day{FilmLn: 0.14, OutsideLn: 0.17, InflowK: 2.5}
	l.Gains = &thermal.SunGains{Shade: thermal.Normal{MeanK: 1.5, SigmaK: 1}, Lit: thermal.Normal{MeanK: 13, SigmaK: 3}}
	l.Range = Range{RampMostPaS: 5e4, DensityMost: 45, GasMostK: 340, AmbientLeastK: 285, AmbientMostK: 300}
	l.Cov[thermal.ParLnFilm][thermal.ParDensity], l.Cov[thermal.ParDensity][thermal.ParLnFilm] = -0.03, -0.03
	return l
}

// What is written is read back, to the last digits.
func TestModelRoundTrip(t *testing.T) {
	for _, variant := range Variants() {
		l := learnedExample()
		l.Variant = variant
		for i := range l.Params {
			mean, sigma := variant.Prior(i)
			l.Params[i] = mean + 0.3*sigma
			for j := range l.Params {
				l.Cov[i][j] = 0
			}
			l.Cov[i][i] = sigma * sigma
		}
		data := must.Get(l.Format())(t)
		got, err := ParseLearned("model.toml", data)
		must.Need(t, err == nil, "%s: %v", variant.Name, err)
		d := cmp.Diff(l, got, cmpopts.EquateApprox(1e-12, 1e-12))
		must.Be(t, d == "", "%s (-written +read):\n%s", variant.Name, d)
	}
}

// Each damage to a model file is refused: the error names the file, what was
// wrong and what to type next.
func TestModelRefused(t *testing.T) {
	data := must.Get(learnedExample().Format())(t)
	good := string(data)
	line := func(key string) string {
		for _, l := range strings.Split(good, "\n") {
			if strings.HasPrefix(l, key+" ") {
				return l
			}
		}
		t.Fatalf("no line %q in:\n%s", key, good)
		return ""
	}
	set := func(key, value string) string { return strings.Replace(good, line(key), key+" = "+value, 1) }
	cov := line("covariance")
	first := strings.SplitN(strings.TrimPrefix(cov, "covariance = [["), ",", 2)[0]
	for name, c := range map[string]struct{ text, want string }{
		"no TOML":             {"[[[", "line 1"},
		"empty":               {"", "version 0"},
		"unknown key":         {"colour = 'red'\n" + good, "unknown key colour"},
		"newer version":       {set("version", "4"), "version 4, this program reads version 3"},
		"older version":       {set("version", "1"), "older fillwright"},
		"unknown variant":     {set("variant", "'variants'"), `unknown variant "variants"`},
		"parameter missing":   {strings.Replace(good, line("film_w_m2k"), "", 1), "film_w_m2k is missing"},
		"unknown parameter":   {strings.Replace(good, line("film_w_m2k"), line("film_w_m2k")+"\nflim = 1.0", 1), `"flim"`},
		"negative film":       {set("film_w_m2k", "-3.0"), "film_w_m2k = -3 is not possible"},
		"no lag at all":       {set("bead_s", "0.0"), "bead_s = 0 is not possible"},
		"negative jet":        {set("jet_w_m2k", "-1.0"), "jet_w_m2k = -1 is not possible"},
		"infinite exponent":   {set("density_exponent", "inf"), "density_exponent = +Inf is not possible"},
		"unknown exponent":    {set("buoyancy_exponent", "nan"), "buoyancy_exponent = NaN is not possible"},
		"covariance short":    {set("covariance", "[]"), "covariance"},
		"covariance ragged":   {strings.Replace(good, "[["+first+",", "[[", 1), "is damaged"},
		"variance negative":   {strings.Replace(good, "[["+first, "[[-"+first, 1), "is damaged"},
		"variance unknown":    {strings.Replace(good, "[["+first, "[[nan", 1), "is damaged"},
		"variance infinite":   {strings.Replace(good, "[["+first, "[[inf", 1), "is damaged"},
		"covariance lopsided": {strings.Replace(good, "[["+first+", -0.03", "[["+first+", 0.02", 1), "is damaged"},
		"covariance unknown":  {strings.ReplaceAll(good, "-0.03", "nan"), "is damaged"},
		"covariance too big":  {strings.ReplaceAll(good, "-0.03", "-9.0"), "is damaged"},
		"free name unknown":   {strings.Replace(good, "'film_w_m2k'", "'flim'", 1), `"flim" is damaged`},
		"free name twice":     {strings.Replace(good, "'density_exponent'", "'film_w_m2k'", 1), "is damaged"},
		"unexplained minus":   {set("unexplained_k", "-0.5"), "unexplained_k = -0.5 is not possible"},
		"unexplained nan":     {set("unexplained_k", "nan"), "unexplained_k = NaN is not possible"},
		"unexplained inf":     {set("unexplained_k", "inf"), "unexplained_k = +Inf is not possible"},
		"gain unknown":        {set("sunny_line_above_shade_k", "nan"), "[sun]"},
		"gain sigma minus":    {set("shade_sigma_k", "-1.0"), "[sun]"},
		"range unknown":       {set("ramp_most_pa_s", "nan"), "range"},
	} {
		if c.text == good {
			t.Errorf("%s: the damage did nothing", name)
			continue
		}
		_, err := ParseLearned("plover-model.toml", []byte(c.text))
		var typed *wrongfile.Error
		if !errors.As(err, &typed) {
			t.Errorf("%s: got %v, want a wrongfile.Error", name, err)
			continue
		}
		for _, part := range []string{"plover-model.toml", c.want, "fillwright learn"} {
			must.Be(t, strings.Contains(err.Error(), part), "%s: error %q does not say %q", name, err, part)
		}
	}
}

// No bytes whatever make the reader panic.
func FuzzParseLearned(f *testing.F) {
	data := must.Get(learnedExample().Format())(f)
	f.Add(data)
	f.Add([]byte("version = 1\nrung = 'lag'\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := ParseLearned("x", data)
		must.Be(t, (l == nil) != (err == nil), "model %v with error %v", l, err)
	})
}

// A parameter as people read it goes back to the parameter as it is held, and
// its slope is the difference quotient.
func TestParRoundTrip(t *testing.T) {
	seen := map[string]bool{}
	for i := 0; i < thermal.ParCount; i++ {
		must.Be(t, thermal.ParKey(i) != "" && thermal.ParName(i) != "" && !seen[thermal.ParKey(i)],
			"parameter %d has key %q, name %q", i, thermal.ParKey(i), thermal.ParName(i))
		seen[thermal.ParKey(i)] = true
	}
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, thermal.ParCount-1).Draw(t, "par")
		x := rapid.Float64Range(-6, 6).Draw(t, "x")
		if i == thermal.ParJet {
			x = math.Abs(x) // the film's share is its square
		}
		back := thermal.ParInternal(i, thermal.ParValue(i, x))
		must.Need(t, math.Abs(back-x) < 1e-9, "%s: %v came back as %v", thermal.ParKey(i), x, back)
		const d = 1e-5
		slope := (thermal.ParValue(i, x+d) - thermal.ParValue(i, x-d)) / (2 * d)
		if x > 0.01 && !(math.Abs(thermal.ParSlope(i, x)-slope) < 1e-6*math.Max(1, math.Abs(slope))) {
			t.Fatalf("%s: slope %v, difference quotient %v", thermal.ParKey(i), thermal.ParSlope(i, x), slope)
		}
	})
}

// The base is remembered in the model file; a file without one is on ambient,
// an unknown one is refused.
func TestInletInFile(t *testing.T) {
	l := learnedExample()
	l.Inlet = thermal.InletThrottled
	data := must.Get(l.Format())(t)
	got, err := ParseLearned("model.toml", data)
	must.Be(t, err == nil && got.Inlet == thermal.InletThrottled, "read back %v, %v", got, err)
	line := "inflow_base = 'throttled'"
	must.Need(t, strings.Contains(string(data), line), "no line %q in\n%s", line, data)
	got, err = ParseLearned("model.toml", []byte(strings.Replace(string(data), line, "", 1)))
	must.Be(t, err == nil && got.Inlet == thermal.InletAmbient, "without a base: %v, %v", got, err)
	_, err = ParseLearned("model.toml", []byte(strings.Replace(string(data), "'throttled'", "'cold'", 1)))
	must.Be(t, err != nil && strings.Contains(err.Error(), "cold") && strings.Contains(err.Error(), "throttled"), "an unknown base: %v", err)
}
