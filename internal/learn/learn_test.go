package learn

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// A lag whose time constant is known is fitted back. What the truth is does
// not hang on package thermal: the wall of the record is checked against the
// textbook lag, which goes 63.2 % of a step in one time constant, integrated
// here by itself.
func TestLagFittedBack(t *testing.T) {
	v := plover(t)
	truth := paramsOf(t, "lag", map[int]float64{thermal.ParLnFilm: 52, thermal.ParLnOutside: 11, thermal.ParInflow: -9, thermal.ParLnHeat: 1.06, thermal.ParLnSkin: 0.02, thermal.ParStem: 0, thermal.ParUneven: 0})
	one := pretended{name: "one", variant: "lag", par: truth, rampBar: 15, toBar: 40, holdS: 150, ambientK: 290, gainK: [2]float64{6, 2}}
	tau := v.WallAreaHeatJM2K() * 1.06 / 52
	tauOut := v.WallAreaHeatJM2K() * 1.06 / 11
	quick := one // a bead that does not lag shows the gas itself
	quick.par[thermal.ParLnBead] = math.Log(0.02)
	for _, i := range []int{thermal.ParBeadLoss, thermal.ParBeadJet, thermal.ParFar} {
		quick.par[i] = 0
	}
	f := quick.fill(t, v, 3)
	wall := 290 + 0.6*6.0
	for i := 1; i < len(f.TimeS); i++ {
		mid := 0.5 * (f.GasK[i-1] + f.GasK[i])
		to := (mid/tau + 296/tauOut) / (1/tau + 1/tauOut)
		wall = to + (wall-to)*math.Exp(-gridS*(1/tau+1/tauOut))
		d := f.Wall[0][i] - wall
		must.Need(t, math.Abs(d) <= 5*noiseSK, "the record's wall is %.2f K off a lag of %.1f s at %.1f s", d, tau, f.TimeS[i])
	}
	r := mustLearn(t, v, three(t, v, one), "lag")
	o := r.Best().Outcome
	near3(t, r, truth, thermal.ParLnFilm, thermal.ParLnOutside, thermal.ParInflow, thermal.ParLnBead, thermal.ParLnHeat)
	film, heat := thermal.ParLnFilm, thermal.ParLnHeat
	got := v.WallAreaHeatJM2K() * math.Exp(o.Params[heat]-o.Params[film])
	sigma := math.Sqrt(o.Cov[heat][heat] + o.Cov[film][film] - 2*o.Cov[heat][film])
	z := math.Log(got/tau) / sigma
	must.Be(t, math.Abs(z) <= 3 && math.Abs(got/tau-1) <= 0.08, "time constant %.1f s ± %.1f %%, truth %.1f s", got, 100*sigma, tau)
}

// The layered wall is fitted back within three standard errors, and what the
// fills say of film and outside is more than handbooks knew.
func TestLayeredFittedBack(t *testing.T) {
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 75, thermal.ParDensity: 0.55, thermal.ParLnOutside: 17,
		thermal.ParInflow: -8, thermal.ParLnBead: 2.2, thermal.ParLnConduct: 0.85, thermal.ParLnHeat: 0.95, thermal.ParLnSkin: 4, thermal.ParStem: 0.02})
	r := mustLearn(t, v, three(t, v, pretended{variant: "layered", par: truth}), "layered")
	near3(t, r, truth, r.Best().Outcome.Free...)
	o := r.Best().Outcome
	for _, i := range []int{thermal.ParLnFilm, thermal.ParDensity, thermal.ParLnOutside, thermal.ParLnBead} {
		_, sigma := o.Variant.Prior(i)
		must.Be(t, o.StdErr[i] < 0.5*sigma, "%s is known to %.3g after three fills, to %.3g before", thermal.ParName(i), o.StdErr[i], sigma)
	}
	for _, w := range r.Warnings {
		must.Be(t, !strings.Contains(w, "disagrees") && !strings.Contains(w, "converge"), "three fills of one vessel: warning %q", w)
	}
}

// The evidence tells a film that goes with density^0.6 from one that does not;
// and where no variant is clearly better, the one that leaves nothing out is
// taken.
func TestChoose(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "lag-density", map[int]float64{thermal.ParLnFilm: 60, thermal.ParDensity: 0.6, thermal.ParLnOutside: 12, thermal.ParStem: 0.01})
	r := mustLearn(t, v, three(t, v, pretended{variant: "lag-density", par: truth}), "")
	must.Need(t, len(r.Steps) == len(wallmodel.Variants()), "%d variants tried", len(r.Steps))
	lag, dense := r.Steps[0], r.Steps[1]
	must.Be(t, dense.validationError() < clearly*lag.validationError(),
		"left-out score of lag-density %.3f, of lag %.3f", dense.validationError(), lag.validationError())
	two := Result{Steps: []Step{lag, dense}}
	if two.choose(); two.Best().Outcome.Variant.Name != "lag-density" {
		t.Errorf("between lag and lag-density the choice is %s", two.Best().Outcome.Variant.Name)
	}
	near3(t, &Result{Steps: []Step{dense}}, truth, thermal.ParLnFilm, thermal.ParDensity)
	if got := r.Best(); got.validationError() > lag.validationError() || got.Outcome.Variant.Name == "lag" {
		t.Errorf("the choice is %s with score %.3f", got.Outcome.Variant.Name, got.validationError())
	}
	best := r.Best().validationError()
	for _, s := range r.Steps {
		must.Be(t, s.validationError() >= clearly*clearly*best,
			"%s scores %.3f, the chosen %s %.3f", s.Outcome.Variant.Name, s.validationError(), r.Best().Outcome.Variant.Name, best)
	}
}

// A handful of hand-held readings in place of sensors is enough to learn from:
// the wall of a fill left out is predicted.
func TestHandHeldOnly(t *testing.T) {
	t.Parallel()
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 80, thermal.ParDensity: 0.6, thermal.ParLnOutside: 12, thermal.ParLnSkin: 0.02, thermal.ParStem: 0, thermal.ParUneven: 0})
	fills := three(t, v, pretended{variant: "layered", par: truth})
	for _, f := range fills {
		full := f.Wall
		f.Wall = [4][]float64{}
		for _, at := range []int{10, 50, len(f.TimeS) / 3, len(f.TimeS) / 2, len(f.TimeS) - 120, len(f.TimeS) - 5} {
			for s := range v.Stations {
				f.Surface = append(f.Surface, Surface{TimeS: f.TimeS[at], Station: s, K: full[s][at]})
			}
		}
	}
	r := mustLearn(t, v, fills, "layered")
	near3(t, r, truth, thermal.ParLnFilm, thermal.ParDensity, thermal.ParLnOutside)
	s := r.Best()
	n := len(s.Outcome.Fills[0].Residuals)
	must.Be(t, n == 12, "%d hand-held readings used, want 12", n)
	must.Be(t, s.OutWallK < 1, "walls of fills left out are %.2f K off", s.OutWallK)
	for _, w := range r.Warnings {
		must.Be(t, !strings.Contains(w, "no wall reading"), "warning %q", w)
	}
}

// One fill alone gives a model, with a warning that nothing checks it and wide
// gains; no number in it is unknown.
func TestOneFill(t *testing.T) {
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParLnFilm: 80})
	fill := three(t, v, pretended{variant: "layered", par: truth})[:1]
	r := mustLearn(t, v, fill, "")
	must.Be(t, warned(r, "one fill alone") && math.IsNaN(r.Best().OutWallK), "warnings %q", r.Warnings)
	g := r.Model.Gains.Lit
	must.Be(t, g.SigmaK >= wallmodel.UnseenSigmaK, "the sun of another day is known to %.1f K after one fill", g.SigmaK)
	text := Text(r)
	must.Be(t, !strings.Contains(text, "NaN") && !strings.Contains(text, "Inf"), "unknown numbers in\n%s", text)
	data := must.Get(r.Model.Format())(t)
	_, err := wallmodel.ParseLearned("model.toml", data)
	must.Be(t, err == nil, "%v", err)
}

func warned(r *Result, text string) bool {
	for _, w := range r.Warnings {
		if strings.Contains(w, text) {
			return true
		}
	}
	return false
}
