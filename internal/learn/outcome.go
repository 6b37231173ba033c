package learn

import (
	"math"

	"fillwright/internal/learn/lm"
)

// sigmaLeast is the least share of the assumed noise that small residuals are
// taken for.
const sigmaLeast = 0.6

// outcome draws up a fit.
func (f *fitter) outcome(res *lm.Result) *Outcome {
	o := &Outcome{
		Rung: f.rung, Params: f.params(res.X), Free: f.free, Inlet: f.inlet, Sigma: res.Sigma,
		Converged: res.Converged(), Why: res.Why.String(), x: res.X,
	}
	// Residuals weigh by assumed noise. When they come out larger, so is the
	// doubt; when they come out smaller, only some of that is certainty: what
	// lasts through a fill does not show in its scatter.
	scale := square(math.Max(res.Sigma, sigmaLeast) / res.Sigma)
	for a, i := range f.free {
		for b, j := range f.free {
			if v := res.Covariance.At(a, b) * scale; !math.IsNaN(v) && !math.IsInf(v, 0) {
				o.Cov[i][j] = v
			} else if i == j {
				o.Cov[i][j] = f.sigma[a] * f.sigma[a] // held at its bound: as unsure as before
			}
		}
		o.StdErr[i] = math.Sqrt(o.Cov[i][i])
	}
	for _, group := range res.Tangled {
		var g []int
		for _, k := range group {
			if k < len(f.free) {
				g = append(g, f.free[k])
			}
		}
		if len(g) > 1 {
			o.Tangled = append(o.Tangled, g)
		}
	}
	o.Tangled = append(o.Tangled, o.tangled()...)
	at := f.shared()
	for _, p := range f.fills {
		o.Fills = append(o.Fills, f.fillFit(p, res.X[at:at+p.locals()], o))
		at += p.locals()
	}
	return o
}

// fillFit draws up one fill.
func (f *fitter) fillFit(p *prepared, x []float64, o *Outcome) FillFit {
	r := make([]float64, p.n)
	p.residuals(o.Params, x, r)
	out := FillFit{Name: p.name, Inlet: p.inlet, BiasK: x[localBias], AmbientK: p.bins[0].ambientK, WallRMSK: math.NaN()}
	var gas, wall, nGas, nWall float64
	for i, e := range r {
		if p.wallAt[i] {
			k := e * sigmaSkinK
			out.Residuals = append(out.Residuals, k)
			out.WallWorstK = math.Max(out.WallWorstK, math.Abs(k))
			wall += k * k
			nWall++
		} else {
			k := e * sigmaGasK
			gas += k * k
			nGas++
		}
	}
	if nGas > 0 {
		out.GasRMSK = math.Sqrt(gas / nGas)
	}
	if nWall > 0 {
		out.WallRMSK = math.Sqrt(wall / nWall)
	}
	for s := 0; s < p.model.Stations; s++ {
		out.OutK = append(out.OutK, x[localFirst+2*s])
		out.StartK = append(out.StartK, x[localFirst+2*s+1])
	}
	return out
}
