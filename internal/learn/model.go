package learn

import (
	"math"
	"slices"

	"fillwright/internal/learn/lm"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// starts are the film coefficients, as factors on the handbook's, that a fit
// is begun from: a least squares valley can have more than one end.
var starts = []float64{1, 0.5, 2}

// best fits from where a poorer variant ended and from several starts, and keeps the
// lowest cost. Of a far end that was read, gas that comes in cold tells much the same
// as gas that is compressed unmixed: two starts may agree on the worse, and a variant
// that can do all that a poorer one could must not end above it.
func (f *fitter) best(poorer *Outcome) (*lm.Result, error) {
	var best *lm.Result
	var firstErr error
	try := func(x []float64) (agrees bool) {
		res, err := f.fit(x)
		switch {
		case err != nil:
			firstErr = err
		case best != nil && math.Abs(res.SSE/best.SSE-1) < 1e-3:
			return true
		case best == nil || res.SSE < best.SSE:
			best = res
		}
		return false
	}
	if poorer != nil {
		try(f.after(poorer))
	}
	for _, factor := range starts {
		x := f.start()
		for i, par := range f.free {
			if par == thermal.ParLnFilm {
				x[i] += math.Log(factor)
			}
		}
		if try(x) {
			break
		}
	}
	if best == nil {
		return nil, firstErr
	}
	return best, nil
}

// after is where another variant's fit of the same fills ended; what that one held
// is at the handbook's.
func (f *fitter) after(o *Outcome) []float64 {
	x := f.start()
	for i, par := range f.free {
		if at := slices.Index(o.Free, par); at >= 0 {
			x[i] = o.x[at]
		}
	}
	copy(x[f.shared():], o.x[len(o.Free):])
	return x
}

// Floors of what a few fills can tell. Common practice, no source.
const (
	modelLeastK = 0.42 // one sigma that no fit explains away: the error of the sensors that taught it
	litLeastK   = 6.0  // one sigma of what the sun of another day does to the sunny line
	shadeLeastK = 2.0  // and the sky to the shaded side
	sunSeenK    = 8.0  // a fill that showed this much has seen the sun
	biasLeastK  = 0.35 // one sigma of the gas probe's error from fill to fill
)

// model draws the chosen variant up for use, and says what to mind.
func (r *Result) model(v *vessel.Profile, fills []*Fill, opt Options) {
	s := r.Best()
	m := &wallmodel.Learned{
		Name: opt.Name, Vessel: v.Name, Created: opt.Date, Variant: s.Outcome.Variant,
		Params: s.Outcome.Params, Cov: s.Outcome.Cov, Inlet: s.Outcome.Inlet, DiscrepancyK: modelLeastK,
	}
	if !math.IsNaN(s.OutWallK) {
		m.DiscrepancyK = math.Max(m.DiscrepancyK, math.Min(s.OutWallK, 2))
	}
	if s.Outcome.Variant.Cells == 1 {
		m.DiscrepancyK = math.Max(m.DiscrepancyK, 1.5) // a lump says nothing of the inner face
	}
	for _, f := range fills {
		m.Fills = append(m.Fills, f.Name)
	}
	m.Gains = gains(s.Outcome.Fills, wallmodel.HandbookGains(v).Lit)
	m.Bias = bias(s.Outcome.Fills)
	m.Day = day(s.Outcome.Fills)
	var slowestPaS float64
	m.Range, slowestPaS = rangeOf(v, fills)
	r.Model = m
	r.warn(fills, slowestPaS)
	r.warnFarEnd()
}

// gains is what the sun did to the vessel in the fills; the scatter of a next
// day is wider than that of few, and a model that learned in the shade knows
// nothing of the sun: it may do what handbooks say of its paint, beside nothing.
func gains(fits []FillFit, handbook thermal.Normal) *thermal.SunGains {
	var lit, shade spread
	most := math.Inf(-1)
	for _, f := range fits {
		l := f.OutK[thermal.SideSun] - f.OutK[thermal.SideShade]
		lit.add(l)
		shade.add(f.OutK[thermal.SideShade] - f.AmbientK)
		most = math.Max(most, l)
	}
	out := &thermal.SunGains{Shade: shade.gain(shadeLeastK), Lit: lit.gain(litLeastK)}
	if most < sunSeenK || len(fits) < 2 {
		out.Lit.SigmaK = math.Max(out.Lit.SigmaK, math.Hypot(handbook.SigmaK, handbook.MeanK-out.Lit.MeanK))
	}
	return out
}

// spread gathers what few fills showed of something that differs from day to day.
type spread struct{ n, sum, sq float64 }

func (s *spread) add(x float64) { s.n, s.sum, s.sq = s.n+1, s.sum+x, s.sq+x*x }

// gain is the mean, and one sigma of another day, at least leastK.
func (s *spread) gain(leastK float64) thermal.Normal {
	mean := s.sum / s.n
	scatter := math.Sqrt(math.Max(0, s.sq/s.n-mean*mean))
	return thermal.Normal{MeanK: mean, SigmaK: math.Hypot(leastK, scatter*math.Sqrt((s.n+1)/math.Max(s.n-1, 1)))}
}

// bias is what the gas probe read too high in the fills, by the balance and
// the wall's readings: the same probe will do so again.
func bias(fits []FillFit) thermal.Normal {
	var s spread
	for _, f := range fits {
		s.add(f.BiasK)
	}
	return s.gain(biasLeastK)
}

// dayWeight is how many fills' worth the handbook's word on a day's deviations is.
const dayWeight = 3.0

// day is how far the fills lie from each other, weighed with what handbooks say:
// one round of expectation and maximisation, in which a fill counts by what it
// showed and by how unsure that is (Dempster, Laird & Rubin 1977, from memory).
func day(fits []FillFit) wallmodel.Day {
	d := wallmodel.HandbookDay
	weigh := func(handbook float64, shown func(*FillFit) (is, unsure float64)) float64 {
		sum := dayWeight * handbook * handbook
		for i := range fits {
			is, unsure := shown(&fits[i])
			sum += is*is + unsure*unsure
		}
		return math.Sqrt(sum / (dayWeight + float64(len(fits))))
	}
	return wallmodel.Day{
		FilmLn:    weigh(d.FilmLn, func(f *FillFit) (float64, float64) { return f.FilmLn, f.Unsure.FilmLn }),
		OutsideLn: weigh(d.OutsideLn, func(f *FillFit) (float64, float64) { return f.OutsideLn, f.Unsure.OutsideLn }),
		InflowK:   weigh(d.InflowK, func(f *FillFit) (float64, float64) { return f.InflowK, f.Unsure.InflowK }),
	}
}

// rangeOf is what the fills covered, and the fastest ramp of the slowest fill.
// An ambient that was not read counts only where none was read in any fill.
func rangeOf(v *vessel.Profile, fills []*Fill) (r wallmodel.Range, slowestPaS float64) {
	fluid := fluidOf(v)
	r = wallmodel.Range{AmbientLeastK: math.Inf(1), AmbientMostK: math.Inf(-1)}
	slowestPaS = math.Inf(1)
	read := slices.ContainsFunc(fills, (*Fill).knowsAmbient)
	for _, f := range fills {
		b, err := f.bins()
		if err != nil {
			continue // prepare has refused it already
		}
		ramp := 0.0
		for i := range b {
			if !math.IsNaN(b[i].gasK) {
				r.GasMostK = math.Max(r.GasMostK, b[i].gasK)
				r.DensityMost = math.Max(r.DensityMost, fluid.DensityKgM3(b[i].gasK, b[i].pPa+float64(v.AmbientPressure)))
			}
			if f.knowsAmbient() || !read {
				r.AmbientLeastK = math.Min(r.AmbientLeastK, b[i].ambientK)
				r.AmbientMostK = math.Max(r.AmbientMostK, b[i].ambientK)
			}
			if j := i - 3; j >= 0 && b[i].timeS > b[j].timeS {
				ramp = math.Max(ramp, (b[i].pPa-b[j].pPa)/(b[i].timeS-b[j].timeS))
			}
		}
		r.RampMostPaS = math.Max(r.RampMostPaS, ramp)
		slowestPaS = math.Min(slowestPaS, ramp)
	}
	return r, slowestPaS
}

func (f *Fill) knowsAmbient() bool {
	return slices.ContainsFunc(f.AmbientK, func(k float64) bool { return !math.IsNaN(k) })
}
