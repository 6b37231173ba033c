package lm

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// tangledShare is how much of a vanishing direction a parameter must carry,
// against the greatest share, to be named in Result.Confounded.
const tangledShare = 0.1

// result reports the fit at x.
func (f *fitter) result(why Why) *Result {
	f.linearise()
	n := len(f.x)
	res := &Result{
		X:           append([]float64(nil), f.x...),
		Residuals:   append([]float64(nil), f.r...),
		SSE:         f.cost,
		DOF:         f.p.N - n,
		Sigma:       math.NaN(),
		Covariance:  mat.NewSymDense(n, nil),
		StdErr:      make([]float64, n),
		AtBound:     append([]bool(nil), f.held...),
		Iterations:  f.steps,
		Evaluations: f.evals,
		Why:         why,
	}
	if res.DOF > 0 {
		res.Sigma = math.Sqrt(f.cost / float64(res.DOF))
	}
	f.spread(res)
	return res
}

// spread fills covariance, standard errors, rank and confounded parameters from
// the singular values of the Jacobian, its columns scaled to length 1 so that
// units play no part in what counts as small.
func (f *fitter) spread(res *Result) {
	for i := range f.x {
		for j := range i + 1 {
			res.Covariance.SetSym(i, j, math.NaN())
		}
		res.StdErr[i] = math.NaN()
	}
	var free []int
	for j := range f.x {
		switch {
		case f.held[j]:
		case f.norm[j] == 0 || math.IsNaN(f.norm[j]):
			res.Confounded = append(res.Confounded, []int{j})
			res.StdErr[j] = math.Inf(1)
			res.Covariance.SetSym(j, j, math.Inf(1))
		default:
			free = append(free, j)
		}
	}
	if len(free) == 0 {
		return
	}
	values, v := f.singular(free)
	confounded := f.unconfound(res, free, values, v)
	for a, i := range free {
		for b, j := range free[:a+1] {
			res.Covariance.SetSym(i, j, f.covariance(res, a, b, free, values, v))
		}
		if confounded[a] {
			res.Covariance.SetSym(i, i, math.Inf(1))
		}
		res.StdErr[i] = math.Sqrt(res.Covariance.At(i, i))
	}
}

// singular returns the singular values, falling, and the right vectors of the
// free columns. It goes by way of R, which is small.
func (f *fitter) singular(free []int) ([]float64, *mat.Dense) {
	n := len(free)
	a := mat.NewDense(max(f.p.N, n), n, nil)
	for i := range f.p.N {
		for k, j := range free {
			a.Set(i, k, f.jac.At(i, j)/f.norm[j])
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	var r mat.Dense
	qr.RTo(&r)
	var svd mat.SVD
	var v mat.Dense
	if !svd.Factorize(r.Slice(0, n, 0, n), mat.SVDThin) {
		// Not finite: nothing is known of any parameter.
		return make([]float64, n), mat.DenseCopyOf(mat.NewDiagDense(n, ones(n)))
	}
	svd.VTo(&v)
	return svd.Values(nil), &v
}

// unconfound counts the rank and names, for each vanishing singular value, the
// parameters along whose combination the residuals do not change.
func (f *fitter) unconfound(res *Result, free []int, values []float64, v *mat.Dense) []bool {
	confounded := make([]bool, len(free))
	for k, s := range values {
		if s > f.set.RankTol*values[0] {
			res.Rank++
			continue
		}
		most := 0.0
		for a := range free {
			most = math.Max(most, math.Abs(v.At(a, k)))
		}
		var group []int
		for a, j := range free {
			if math.Abs(v.At(a, k)) > tangledShare*most {
				group = append(group, j)
				confounded[a] = true
			}
		}
		res.Confounded = append(res.Confounded, group)
	}
	return confounded
}

// covariance is Sigma² V Σ⁻² Vᵀ in the parameters' own units, over the
// singular values that do not vanish.
func (f *fitter) covariance(res *Result, a, b int, free []int, values []float64, v *mat.Dense) float64 {
	sum := 0.0
	for k, s := range values {
		if s > f.set.RankTol*values[0] {
			sum += v.At(a, k) * v.At(b, k) / (s * s)
		}
	}
	return res.Sigma * res.Sigma * sum / (f.norm[free[a]] * f.norm[free[b]])
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}
