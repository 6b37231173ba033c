package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fillwright/internal/learn/lm"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// sigmaLeast is the least share of the assumed noise that small residuals are
// taken for: what lasts through a fill does not show in its scatter.
const sigmaLeast = 0.5

// Misfit is how a fit's readings lie off it: χ² a reading (1: as noisy as was
// assumed), and how many readings one by itself is worth, since what bends a
// fit lasts from reading to reading.
type Misfit struct {
	ChiGas, ChiWall   float64 // NaN without such readings
	LastGas, LastWall float64 // readings that count as one, at least 1
}

// noise is the variance of a reading over the assumed one, as the worse of both
// kinds has it, each counted by its effective sample size.
func (m *Misfit) noise() float64 {
	worst := m.ChiGas * m.LastGas
	if wall := m.ChiWall * m.LastWall; !(wall <= worst) && !math.IsNaN(wall) {
		worst = wall
	}
	return worst
}

// misfit looks at the residuals of the readings, fill by fill. A first-order
// autoregression of correlation ρ leaves n (1 − ρ)/(1 + ρ) of n readings (Box,
// Jenkins & Reinsel, Time Series Analysis; from memory).
func (f *fitter) misfit(res *lm.Result) Misfit {
	var square, pairs, count [2]float64 // of the bead, of the wall
	row := f.shared()
	for _, p := range f.fills {
		var last [1 + thermal.PlacesMost]float64 // of the probe, of each place
		for i := range last {
			last[i] = math.NaN()
		}
		for i := 0; i < p.n; i++ {
			kind := 0
			switch at := p.readsAt[i]; {
			case at == readsGasMass:
				continue
			case at != readsGas:
				kind = 1
			}
			by := &last[1+p.readsAt[i]]
			r := res.Residuals[row+i]
			square[kind], count[kind] = square[kind]+r*r, count[kind]+1
			if !math.IsNaN(*by) {
				pairs[kind] += r * *by
			}
			*by = r
		}
		row += p.n + p.locals()
	}
	lasts := func(kind int) float64 {
		rho := math.Min(math.Max(pairs[kind]/square[kind], 0), rhoMost)
		if math.IsNaN(rho) {
			return 1
		}
		return (1 + rho) / (1 - rho)
	}
	return Misfit{ChiGas: square[0] / count[0], ChiWall: square[1] / count[1], LastGas: lasts(0), LastWall: lasts(1)}
}

const rhoMost = 0.9 // more can't be told from so few readings

// covariance is that of the free parameters after the fit: the inverse of the
// information of the readings, at the noise that they turned out to have, and
// of the priors, at their own (Bayes' rule for normal distributions:
// informations add). What the readings say nothing of stays as unsure as it
// was. It gives how sure each fill's own deviations are.
func (f *fitter) covariance(res *lm.Result, o *Outcome) []wallmodel.Day {
	unsure := make([]wallmodel.Day, len(f.fills))
	j := mat.NewDense(f.n, f.k, nil)
	f.jacobian(j, res.X)
	o.Misfit = f.misfit(res)
	noise := math.Max(sigmaLeast, math.Sqrt(math.Max(o.Misfit.noise(), 0)))
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
		for i := range unsure {
			unsure[i] = wallmodel.HandbookDay
		}
		return unsure
	}
	for a, i := range f.free {
		for b, k := range f.free {
			o.Cov[i][k] = cov.At(a, b)
		}
		o.StdErr[i] = math.Sqrt(o.Cov[i][i])
	}
	at := f.shared()
	for i, p := range f.fills {
		sigma := func(local int) float64 { return math.Sqrt(cov.At(at+local, at+local)) }
		unsure[i] = wallmodel.Day{FilmLn: sigma(localFilm), OutsideLn: sigma(localOutside), InflowK: sigma(localInflow)}
		at += p.locals()
	}
	return unsure
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
