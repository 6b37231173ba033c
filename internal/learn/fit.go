package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fillwright/internal/learn/lm"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// Outcome is the fit of one variant to a set of fills.
type Outcome struct {
	Variant    wallmodel.Variant
	Params     thermal.Params
	Cov        [thermal.ParCount][thermal.ParCount]float64 // of the free parameters, in their own scale
	StdErr     thermal.Params
	Free       []int
	Inlet      thermal.Inlet // what ParInflow is counted from
	Confounded [][]int       // groups of parameters that these fills can't tell apart
	Fills      []FillFit
	Sigma      float64 // residuals against the weights; 1: as noisy as assumed
	Misfit     Misfit
	AtBound    []int // free parameters that ended at their bound
	FarUnread  bool  // a far end is likelier than not, and no reading of any fill stands there
	Converged  bool
	Why        string
	x          []float64
}

// FillFit is how one fill came out.
type FillFit struct {
	Name       string
	GasRMSK    float64
	WallRMSK   float64   // NaN without wall readings
	WallWorstK float64   // greatest deviation
	OutK       []float64 // outside equilibrium of each side
	StartK     []float64 // wall at the start
	BiasK      float64
	FilmLn     float64       // its inside film over that of the others, as a logarithm
	OutsideLn  float64       // its outside coefficient likewise
	InflowK    float64       // its inflow over that of the others
	Unsure     wallmodel.Day // one sigma of the last three
	AmbientK   float64
	Inlet      thermal.Inlet // what its inflow is counted from
	Residuals  []float64     // wall readings less model, K, in order of time
}

// fitter is the least-squares problem of one variant.
type fitter struct {
	vessel  *vessel.Profile
	variant wallmodel.Variant
	fills   []*prepared
	free    []int
	base    thermal.Params
	inlet   thermal.Inlet // what the shared inflow is counted from
	mean    []float64
	sigma   []float64
	fixed   bool // shared parameters are held; only the fills' own move
	unread  bool // no reading stands at a far end: what is the case there is considered, not fitted
	n       int  // residuals
	k       int  // parameters
}

func newFitter(v *vessel.Profile, r wallmodel.Variant, fills []*prepared, inlet thermal.Inlet, unread bool) *fitter {
	f := &fitter{vessel: v, variant: r, fills: fills, inlet: inlet, unread: unread}
	for i := range f.base {
		mean, sigma := f.prior(i)
		if i == thermal.ParInflow {
			mean, sigma = thermal.InflowPrior(f.inlet)
		}
		f.base[i] = mean
		if sigma > 0 && !f.considers(i) {
			f.free = append(f.free, i)
			f.mean = append(f.mean, mean)
			f.sigma = append(f.sigma, sigma)
		}
	}
	f.count()
	return f
}

func (f *fitter) count() {
	f.k, f.n = f.shared(), f.shared()
	for _, p := range f.fills {
		f.k += p.locals()
		f.n += p.n + p.locals()
	}
}

// shared is how many parameters the fills have in common.
func (f *fitter) shared() int {
	if f.fixed {
		return 0
	}
	return len(f.free)
}

func (f *fitter) params(x []float64) thermal.Params {
	p := f.base
	for i := 0; i < f.shared(); i++ {
		p[f.free[i]] = x[i]
	}
	return p
}

// start is the handbook's values and each fill's likeliest own.
func (f *fitter) start() []float64 {
	x := make([]float64, f.k)
	copy(x, f.mean[:f.shared()])
	at := f.shared()
	for _, p := range f.fills {
		p.start(x[at:])
		at += p.locals()
	}
	return x
}

// one writes the readings and priors of one fill.
func (f *fitter) one(p *prepared, par thermal.Params, x, r []float64) {
	p.residuals(par, x, r)
	p.priors(x, r[p.n:])
}

func (f *fitter) residuals(r, x []float64) {
	for i := 0; i < f.shared(); i++ {
		r[i] = (x[i] - f.mean[i]) / f.sigma[i]
	}
	par := f.params(x)
	row, col := f.shared(), f.shared()
	for _, p := range f.fills {
		f.one(p, par, x[col:col+p.locals()], r[row:row+p.n+p.locals()])
		row += p.n + p.locals()
		col += p.locals()
	}
}

// jacobian takes differences fill by fill: a fill's own parameters move only
// its own readings.
func (f *fitter) jacobian(j *mat.Dense, x []float64) {
	j.Zero()
	for i := 0; i < f.shared(); i++ {
		j.Set(i, i, 1/f.sigma[i])
	}
	row, col := f.shared(), f.shared()
	for _, p := range f.fills {
		own := append([]float64(nil), x[col:col+p.locals()]...)
		size := p.n + p.locals()
		base, moved := make([]float64, size), make([]float64, size)
		f.one(p, f.params(x), own, base)
		put := func(c int, step float64) {
			for i := range base {
				j.Set(row+i, c, (moved[i]-base[i])/step)
			}
		}
		for i := 0; i < f.shared(); i++ {
			par := f.params(x)
			step := 1e-4 * math.Max(1, math.Abs(par[f.free[i]]))
			par[f.free[i]] += step
			f.one(p, par, own, moved)
			put(i, step)
		}
		for i := range own {
			keep, step := own[i], 1e-3
			own[i] += step
			f.one(p, f.params(x), own, moved)
			put(col+i, step)
			own[i] = keep
		}
		row += size
		col += p.locals()
	}
}

// bounds keep every parameter within three sigma of what handbooks say, and of what
// a model file may hold.
func (f *fitter) bounds() (lower, upper []float64) {
	lower, upper = make([]float64, f.k), make([]float64, f.k)
	for i := range lower {
		lower[i], upper[i] = math.Inf(-1), math.Inf(1)
	}
	for i := 0; i < f.shared(); i++ {
		least, most := wallmodel.ParRange(f.free[i])
		lower[i], upper[i] = math.Max(least, f.mean[i]-3*f.sigma[i]), math.Min(most, f.mean[i]+3*f.sigma[i])
		switch f.free[i] {
		case thermal.ParJet:
			lower[i] = 0.05 // away from where its slope vanishes
		case thermal.ParStem, thermal.ParHand:
			lower[i] = 0
		case thermal.ParSunShare:
			lower[i], upper[i] = math.Max(lower[i], 0.1), math.Min(upper[i], 0.9)
		}
	}
	for i, at := 0, f.shared(); i < len(f.fills); i++ {
		for _, k := range []int{localFilm, localOutside} {
			lower[at+k], upper[at+k] = -1, 1
		}
		for k := localFirst; k < f.fills[i].localPlace(0); k++ {
			lower[at+k], upper[at+k] = 200, 450 // K: no wall is outside this
		}
		at += f.fills[i].locals()
	}
	return lower, upper
}

// Tolerances: what is left moves a parameter by a tenth of its standard error.
var settings = lm.Settings{IterationsMost: 60, CostTol: 1e-4, StepTol: 1e-4, GradientTol: 1e-4}

func (f *fitter) fit(start []float64) (*lm.Result, error) {
	lower, upper := f.bounds()
	return lm.Fit(lm.Problem{
		N: f.n, Residuals: f.residuals, Jacobian: f.jacobian, Lower: lower, Upper: upper, Typical: f.typical(),
	}, start, settings)
}

func (f *fitter) typical() []float64 {
	t := make([]float64, f.k)
	for i := range t {
		t[i] = 1
	}
	return t
}
