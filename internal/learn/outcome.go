package learn

import (
	"math"

	"fillwright/internal/learn/lm"
	"fillwright/internal/wallmodel"
)

// outcome draws up a fit.
func (f *fitter) outcome(res *lm.Result) *Outcome {
	o := &Outcome{
		Variant: f.variant, Params: f.params(res.X), Free: f.free, Inlet: f.inlet, Sigma: res.Sigma,
		Converged: res.Converged(), Why: res.Why.String(), x: res.X,
	}
	unsure := f.covariance(res, o)
	if f.unread {
		f.consider(res.X, o)
	}
	for k, i := range f.free {
		if k < f.shared() && k < len(res.AtBound) && res.AtBound[k] {
			o.AtBound = append(o.AtBound, i)
		}
	}
	for _, group := range res.Confounded {
		var g []int
		for _, k := range group {
			if k < len(f.free) {
				g = append(g, f.free[k])
			}
		}
		if len(g) > 1 {
			o.Confounded = append(o.Confounded, g)
		}
	}
	o.Confounded = append(o.Confounded, o.confounded()...)
	at := f.shared()
	for i, p := range f.fills {
		fit := f.fillFit(p, res.X[at:at+p.locals()], o)
		fit.Unsure = unsure[i]
		o.Fills = append(o.Fills, fit)
		at += p.locals()
	}
	return o
}

// fillFit draws up one fill.
func (f *fitter) fillFit(p *prepared, x []float64, o *Outcome) FillFit {
	r := make([]float64, p.n)
	p.residuals(o.Params, x, r)
	out := FillFit{Name: p.name, Inlet: p.inlet, BiasK: x[localBias], FilmLn: x[localFilm], OutsideLn: x[localOutside], InflowK: x[localInflow], Unsure: wallmodel.HandbookDay, AmbientK: p.bins[0].ambientK, WallRMSK: math.NaN()}
	var gas, wall, nGas, nWall float64
	for i, e := range r {
		switch at := p.readsAt[i]; {
		case at == readsGasMass:
		case at != readsGas:
			k := e * sigmaSkinK
			out.Residuals = append(out.Residuals, k)
			out.WallWorstK = math.Max(out.WallWorstK, math.Abs(k))
			wall += k * k
			nWall++
		default:
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
	for s := 0; s < p.model.Sides; s++ {
		out.OutK = append(out.OutK, x[localFirst+2*s])
		out.StartK = append(out.StartK, x[localFirst+2*s+1])
	}
	return out
}
