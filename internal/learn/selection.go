package learn

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// Options steer Learn.
type Options struct {
	Variant string // force this variant; empty: the evidence chooses
	Name    string // of the model
	Date    string
	Told    func(share float64) // hears how much of the work is done; nil: nobody
}

// Step is one row of the selection's table: a variant, fitted to all fills and to
// all but one.
type Step struct {
	Outcome  *Outcome
	OutGasK  float64   // bead RMS on fills left out
	OutWallK float64   // wall RMS on fills left out, NaN when there is none
	LeftOut  []FillFit // each fill, predicted by the others' parameters
}

// Result is what Learn found.
type Result struct {
	Steps    []Step
	Chosen   int
	Forced   bool
	Model    *wallmodel.Learned
	Warnings []string
}

// preferred is the variant that wins ties: the one that leaves nothing out. An
// outer sensor can't see the inner face, so that a plain lag may fit it as
// well and still run degrees below the hottest cell; and a film without the
// inflow's jet may fit mild fills and fall short in a faster one. What the
// fills can't tell stays in its band.
const preferred = "layered-jet"

// clearly is how much better a variant must be than the preferred one.
const clearly = 0.8

// Learn fits the variants to fills of one vessel and chooses by leaving one
// fill out.
func Learn(v *vessel.Profile, fills []*Fill, opt Options) (*Result, error) {
	if len(fills) == 0 {
		return nil, errors.New("no fills to learn from: give at least one, as in: fillwright learn monday.fill tuesday.csv")
	}
	variants := wallmodel.Variants()
	if opt.Variant != "" {
		r, ok := wallmodel.VariantNamed(opt.Variant)
		if !ok {
			return nil, fmt.Errorf("unknown variant %q: know %s", opt.Variant, variantNames())
		}
		variants = []wallmodel.Variant{r}
	}
	out := &Result{Forced: opt.Variant != ""}
	opt.Told = tally(opt.Told, variants, len(fills))
	for _, r := range variants {
		var poorer *Outcome
		if n := len(out.Steps); n > 0 {
			poorer = out.Steps[n-1].Outcome
		}
		s, err := fitVariant(v, fills, r, poorer, opt.Told)
		if err != nil {
			return nil, err
		}
		out.Steps = append(out.Steps, *s)
	}
	out.choose()
	out.model(v, fills, opt)
	return out, nil
}

func variantNames() string {
	var s string
	for i, r := range wallmodel.Variants() {
		if i > 0 {
			s += ", "
		}
		s += r.Name
	}
	return s
}

// fitVariant fits one variant, and again with each fill left out; poorer is the one
// fitted before it, if there is one.
func fitVariant(v *vessel.Profile, fills []*Fill, r wallmodel.Variant, poorer *Outcome, did func(float64)) (*Step, error) {
	var all []*prepared
	for _, f := range fills {
		p, err := prepare(f, v, fluidOf(v), r.Cells)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	f := newFitter(v, r, all, shareInlet(all), farUnread(all))
	best, err := f.best(poorer)
	if err != nil {
		return nil, fmt.Errorf("variant %s: %w", r.Name, err)
	}
	did(fitWork(r))
	s := &Step{Outcome: f.outcome(best), OutGasK: math.NaN(), OutWallK: math.NaN()}
	if len(all) < 2 {
		return s, nil
	}
	return s, s.crossValidate(f, all, best.X, did)
}

// crossValidate predicts each fill with parameters fitted to the others. The
// fill's own conditions (sun, start) are fitted to it.
func (s *Step) crossValidate(of *fitter, all []*prepared, x []float64, did func(float64)) error {
	var gas, wall, nGas, nWall float64
	r := of.variant
	for i, p := range all {
		rest := append(append([]*prepared(nil), all[:i]...), all[i+1:]...)
		f := newFitter(of.vessel, r, rest, of.inlet, of.unread)
		res, err := f.fit(without(x, f.shared(), all, i))
		if err != nil {
			return fmt.Errorf("variant %s without %s: %w", r.Name, p.name, err)
		}
		one := newFitter(of.vessel, r, []*prepared{p}, of.inlet, of.unread)
		one.base, one.fixed = f.params(res.X), true
		one.count()
		own, err := one.fit(ownOf(x, f.shared(), all, i))
		if err != nil {
			return fmt.Errorf("variant %s on %s: %w", r.Name, p.name, err)
		}
		fit := one.fillFit(p, own.X, &Outcome{Params: one.base})
		s.LeftOut = append(s.LeftOut, fit)
		did(leftOutWork(r))
		gas, nGas = gas+fit.GasRMSK*fit.GasRMSK, nGas+1
		if n := float64(len(fit.Residuals)); n > 0 {
			wall, nWall = wall+n*fit.WallRMSK*fit.WallRMSK, nWall+n
		}
	}
	s.OutGasK = math.Sqrt(gas / nGas)
	if nWall > 0 {
		s.OutWallK = math.Sqrt(wall / nWall)
	}
	return nil
}

// ownOf is the own parameters of fill i in x.
func ownOf(x []float64, shared int, all []*prepared, i int) []float64 {
	at := shared
	for _, p := range all[:i] {
		at += p.locals()
	}
	return append([]float64(nil), x[at:at+all[i].locals()]...)
}

// without is x less the own parameters of fill i.
func without(x []float64, shared int, all []*prepared, i int) []float64 {
	at := shared
	for _, p := range all[:i] {
		at += p.locals()
	}
	return append(append([]float64(nil), x[:at]...), x[at+all[i].locals():]...)
}

// validationError is what variants are compared by: wall and bead, in the weights of the
// fit. Without left-out fills it is the fit itself.
func (s *Step) validationError() float64 {
	if math.IsNaN(s.OutGasK) {
		return s.Outcome.Sigma
	}
	sum := square(s.OutGasK / sigmaGasK)
	if !math.IsNaN(s.OutWallK) {
		sum += 2 * square(s.OutWallK/sigmaSkinK)
	}
	return math.Sqrt(sum)
}

func square(x float64) float64 { return x * x }

// choose takes the variant with the best score, the preferred one on a near tie.
func (r *Result) choose() {
	for i := range r.Steps {
		if r.Steps[i].Outcome.Variant.Name == preferred {
			r.Chosen = i
		}
	}
	limit, layered := clearly*r.Steps[r.Chosen].validationError(), r.layered()
	for i := range r.Steps {
		// A lump fitted to outer readings says nothing of the inner face: never
		// by itself the model to fill by.
		if s := r.Steps[i].validationError(); s < limit && (!layered || r.Steps[i].Outcome.Variant.Cells > 1) {
			r.Chosen, limit = i, s
		}
	}
}

// layered tells whether any step has a wall of more than a lump.
func (r *Result) layered() bool {
	return slices.ContainsFunc(r.Steps, func(s Step) bool { return s.Outcome.Variant.Cells > 1 })
}

// Best is the chosen step.
func (r *Result) Best() *Step { return &r.Steps[r.Chosen] }
