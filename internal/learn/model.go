package learn

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/learn/lm"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// starts are the film coefficients, as factors on the handbook's, that a fit
// is begun from: a least squares valley can have more than one end.
var starts = []float64{1, 0.5, 2}

// best fits from several starts and keeps the lowest cost.
func (f *fitter) best() (*lm.Result, error) {
	var best *lm.Result
	var firstErr error
	for _, factor := range starts {
		x := f.start()
		for i, par := range f.free {
			if par == thermal.ParLnFilm {
				x[i] += math.Log(factor)
			}
		}
		res, err := f.fit(x)
		if err != nil {
			firstErr = err
			continue
		}
		if best != nil && math.Abs(res.SSE/best.SSE-1) < 1e-3 {
			return best, nil // two starts agree
		}
		if best == nil || res.SSE < best.SSE {
			best = res
		}
	}
	if best == nil {
		return nil, firstErr
	}
	return best, nil
}

// Floors of what a few fills can tell. Common practice, no source.
const (
	modelLeastK = 0.42 // one sigma that no fit explains away: the error of the sensors that taught it
	gainLeastK  = 4.0  // the sun of another day
)

// model draws the chosen rung up for use.
func (r *Result) model(v *vessel.Profile, fills []*Fill, opt Options) *thermal.Learned {
	s := r.Best()
	m := &thermal.Learned{
		Name: opt.Name, Vessel: v.Name, Created: opt.Date, Rung: s.Outcome.Rung,
		Params: s.Outcome.Params, Cov: s.Outcome.Cov, ModelK: modelLeastK,
	}
	if !math.IsNaN(s.OutWallK) {
		m.ModelK = math.Max(m.ModelK, math.Min(s.OutWallK, 2))
	}
	if s.Outcome.Rung.Cells == 1 {
		m.ModelK = math.Max(m.ModelK, 1.5) // a lump says nothing of the inner face
	}
	for _, f := range fills {
		m.Fills = append(m.Fills, f.Name)
	}
	m.Gains = gains(v, s.Outcome.Fills)
	m.Range = rangeOf(v, fills)
	return m
}

// gains is what the sun did to each station in the fills; the scatter of a
// next day is wider than that of few.
func gains(v *vessel.Profile, fits []FillFit) []thermal.NamedGain {
	var out []thermal.NamedGain
	n := float64(len(fits))
	for s := range v.Stations {
		var sum, sq float64
		for _, f := range fits {
			g := f.OutK[s] - f.AmbientK
			sum, sq = sum+g, sq+g*g
		}
		mean := sum / n
		scatter := math.Sqrt(math.Max(0, sq/n-mean*mean))
		sigma := math.Hypot(gainLeastK, scatter*math.Sqrt((n+1)/math.Max(n-1, 1)))
		if n < 2 {
			sigma = 8
		}
		out = append(out, thermal.NamedGain{Station: v.Stations[s].Name, Gain: thermal.Gain{MeanK: mean, SigmaK: sigma}})
	}
	return out
}

// rangeOf is what the fills covered.
func rangeOf(v *vessel.Profile, fills []*Fill) thermal.Range {
	fluid := fluidOf(v)
	r := thermal.Range{AmbientLeastK: math.Inf(1), AmbientMostK: math.Inf(-1)}
	for _, f := range fills {
		b, err := f.bins()
		if err != nil {
			continue // prepare has refused it already
		}
		for i := range b {
			if !math.IsNaN(b[i].gasK) {
				r.GasMostK = math.Max(r.GasMostK, b[i].gasK)
				r.DensityMost = math.Max(r.DensityMost, fluid.DensityKgM3(b[i].gasK, b[i].pPa+float64(v.AmbientPressure)))
			}
			r.AmbientLeastK = math.Min(r.AmbientLeastK, b[i].ambientK)
			r.AmbientMostK = math.Max(r.AmbientMostK, b[i].ambientK)
			if j := i - 3; j >= 0 && b[i].timeS > b[j].timeS {
				r.RampMostPaS = math.Max(r.RampMostPaS, (b[i].pPa-b[j].pPa)/(b[i].timeS-b[j].timeS))
			}
		}
	}
	return r
}

// warn says what a person should know before trusting the model.
func (r *Result) warn() {
	s := r.Best()
	o := s.Outcome
	add := func(format string, a ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, a...)) }
	if !o.Converged {
		add("the fit did not converge (%s)", o.Why)
	}
	for _, g := range o.Tangled {
		var names []string
		for _, i := range g {
			names = append(names, thermal.ParName(i))
		}
		add("these fills can't tell apart: %s", strings.Join(names, ", "))
	}
	var unsaid []string
	for _, i := range o.Free {
		if _, sigma := o.Rung.Prior(i); o.StdErr[i] > 0.8*sigma {
			unsaid = append(unsaid, thermal.ParName(i))
		}
	}
	if len(unsaid) > 0 {
		add("these fills say little about: %s; handbook values stand in", strings.Join(unsaid, ", "))
	}
	for _, f := range s.LeftOut {
		if !math.IsNaN(f.WallRMSK) && f.WallRMSK > 2*math.Max(0.5, s.Outcome.rms(f.Name)) {
			add("%s disagrees with the rest: wall off by %.1f K RMS when predicted from them", f.Name, f.WallRMSK)
		}
	}
	if len(o.Fills) < 2 {
		add("one fill alone can't be checked against another: give at least three")
	}
	if r.Model.Range.AmbientMostK-r.Model.Range.AmbientLeastK < 3 {
		add("all fills at about the same ambient temperature (%.0f °C): other days widen the band", r.Model.Range.AmbientMostK-273.15)
	}
	if !hasWall(o) {
		add("no wall reading in any fill: the wall is estimated from handbook values and the gas alone")
	}
	if o.Rung.Cells == 1 {
		add("a lag fitted to outer readings says nothing of the inner face, which runs hotter in a fast fill")
	}
}

func (o *Outcome) rms(name string) float64 {
	for _, f := range o.Fills {
		if f.Name == name {
			return f.WallRMSK
		}
	}
	return math.NaN()
}

func hasWall(o *Outcome) bool {
	for _, f := range o.Fills {
		if len(f.Residuals) > 0 {
			return true
		}
	}
	return false
}
