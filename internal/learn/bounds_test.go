package learn

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// Wherever a fit ends, its model can be written and read again: no parameter
// leaves what a model file may hold. (Three sigma of the prior reach past it for
// the gas's unevenness, and a fit that ended there left no model at all.)
func TestFitStaysWritable(t *testing.T) {
	v := plover(t)
	for _, r := range wallmodel.Variants() {
		f := newFitter(v, r, nil, thermal.InletAmbient, false)
		lower, upper := f.bounds()
		for _, end := range [][]float64{lower, upper} {
			l := wallmodel.HandbookFor(v)
			l.Variant = r
			for k, i := range f.free {
				l.Params[i] = end[k]
			}
			if _, err := l.Format(); err != nil {
				t.Errorf("%s: %v", r.Name, err)
			}
		}
	}
}

// A parameter that ended at its bound has its warning, but not leads of skin sensors
// that take nothing off: those are the best there are.
func TestNoLeadLossIsNoWarning(t *testing.T) {
	o := &Outcome{AtBound: []int{thermal.ParStem, thermal.ParInflow}}
	r := &Result{Steps: []Step{{Outcome: o}}}
	r.warnParameters()
	must.Equal(t, len(r.Warnings), 1, "warnings")
	must.Be(t, warned(r, "inflow above ambient ended at its bound"), "warnings %q", r.Warnings)
	o.Params[thermal.ParStem] = 0.2
	r.Warnings = nil
	r.warnParameters()
	must.Equal(t, len(r.Warnings), 2, "warnings with a loss at its bound")
}

// Fills in the shade know nothing of the sun: what handbooks say of the paint lies
// within one sigma. Fills that saw it know what it did.
func TestShadeKnowsNoSun(t *testing.T) {
	fill := func(litK float64) FillFit {
		return FillFit{OutK: []float64{300 + litK, 300}, AmbientK: 298}
	}
	dark := thermal.Normal{MeanK: 26, SigmaK: 18}
	shade := gains([]FillFit{fill(1), fill(2), fill(3)}, dark).Lit
	must.Be(t, shade.MeanK+shade.SigmaK > dark.MeanK, "learned in the shade, the sun makes %.1f ± %.1f K", shade.MeanK, shade.SigmaK)
	seen := gains([]FillFit{fill(20), fill(2), fill(21)}, dark).Lit
	must.Be(t, seen.SigmaK < shade.SigmaK, "learned in the sun ± %.1f K, in the shade ± %.1f", seen.SigmaK, shade.SigmaK)
}
