package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fillwright/internal/learn/lm"
)

// sigmaLeast is the least share of the assumed noise that small residuals are
// taken for: what lasts through a fill does not show in its scatter.
const sigmaLeast = 0.5

// covariance is that of the free parameters after the fit: the inverse of the
// information of the readings, at the noise that they turned out to have, and
// of the priors, at their own (Bayes' rule for normal distributions:
// informations add). What the readings say nothing of stays as unsure as it
// was.
func (f *fitter) covariance(res *lm.Result, o *Outcome) {
	j := mat.NewDense(f.n, f.k, nil)
	f.jacobian(j, res.X)
	var sum, count float64
	f.eachReading(func(row int) {
		sum += res.Residuals[row] * res.Residuals[row]
		count++
	})
	noise := math.Max(sigmaLeast, math.Sqrt(sum/math.Max(count, 1)))
	f.eachReading(func(row int) {
		for c, v := range j.RawRowView(row) {
			if v != 0 {
				j.Set(row, c, v/noise)
			}
		}
	})
	var info mat.SymDense
	info.SymOuterK(1, j.T())
	var chol mat.Cholesky
	var cov mat.SymDense
	if !chol.Factorize(&info) || chol.InverseTo(&cov) != nil {
		// The priors keep the information whole; if rounding did not, nothing
		// was learned.
		for a, i := range f.free {
			o.Cov[i][i] = f.sigma[a] * f.sigma[a]
			o.StdErr[i] = f.sigma[a]
		}
		return
	}
	for a, i := range f.free {
		for b, k := range f.free {
			o.Cov[i][k] = cov.At(a, b)
		}
		o.StdErr[i] = math.Sqrt(o.Cov[i][i])
	}
}

// eachReading visits the rows of the residuals that are readings, not priors.
func (f *fitter) eachReading(visit func(row int)) {
	row := f.shared()
	for _, p := range f.fills {
		for i := 0; i < p.n; i++ {
			visit(row + i)
		}
		row += p.n + p.locals()
	}
}
