package lm

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// triesMost bounds the steps tried from one point; each failure at least
// halves the trust region, so StepTol ends it far earlier.
const triesMost = 100

// fitter is a fit under way.
type fitter struct {
	p        Problem
	set      Settings
	x, r     []float64
	cost     float64 // sum of squares of r
	trialX   []float64
	trialR   []float64
	diffR    []float64 // second residual of a central difference
	jac      *mat.Dense
	grad     []float64 // Jᵀr
	norm     []float64 // norms of the columns of jac
	scale    []float64 // greatest norm so far, Moré's D
	most     []float64 // greatest magnitude of each parameter so far
	held     []bool
	radius   float64
	steps    int
	evals    int
	stepLast float64 // scaled length of the last step
}

// Fit minimises the sum of squares from start on, which is moved into the
// bounds first. The error is an *InputError; a fit that runs out of
// iterations is no error, but Result.Why says so.
func Fit(p Problem, start []float64, s Settings) (*Result, error) {
	if err := p.check(start); err != nil {
		return nil, err
	}
	f := newFitter(p, start, s.withDefaults())
	if math.IsInf(f.cost, 1) {
		return nil, &InputError{"the residuals at the start are not finite"}
	}
	why := f.run()
	return f.result(why), nil
}

func newFitter(p Problem, start []float64, s Settings) *fitter {
	n := len(start)
	f := &fitter{
		p: p, set: s,
		x: make([]float64, n), r: make([]float64, p.N),
		trialX: make([]float64, n), trialR: make([]float64, p.N),
		diffR: make([]float64, p.N),
		jac:   mat.NewDense(p.N, n, nil),
		grad:  make([]float64, n), norm: make([]float64, n),
		scale: make([]float64, n), held: make([]bool, n),
		most: make([]float64, n),
	}
	for i, v := range start {
		f.x[i] = p.clip(i, v)
		if f.most[i] = math.Abs(v); v == 0 {
			f.most[i] = 1
		}
	}
	f.cost = f.evaluate(f.r, f.x)
	return f
}

// evaluate fills r and returns the sum of squares, +Inf where x is not allowed.
func (f *fitter) evaluate(r, x []float64) float64 {
	f.evals++
	f.p.Residuals(r, x)
	cost := floats.Dot(r, r)
	if math.IsNaN(cost) {
		return math.Inf(1)
	}
	return cost
}

func (f *fitter) run() Why {
	for f.steps < f.set.IterationsMost {
		f.linearise()
		if f.cost == 0 || f.gradientCosine() <= f.set.GradientTol {
			return WhyGradient
		}
		if f.steps == 0 {
			f.radius = f.set.RadiusFirst * f.scaledSize()
		}
		if why := f.descend(); why != WhyNone {
			return why
		}
		f.steps++
	}
	return WhyIterations
}

// linearise brings Jacobian, gradient, scales and held parameters up to x.
func (f *fitter) linearise() {
	f.fillJacobian()
	n := len(f.x)
	rv := mat.NewVecDense(len(f.r), f.r)
	for j := range n {
		col := f.jac.ColView(j)
		f.norm[j] = mat.Norm(col, 2)
		f.grad[j] = mat.Dot(col, rv)
		f.scale[j] = math.Max(f.scale[j], f.norm[j])
		down := f.grad[j] > 0 // the sum of squares falls for smaller x[j]
		f.held[j] = f.x[j] <= f.p.lower(j) && down || f.x[j] >= f.p.upper(j) && !down
	}
}

// gradientCosine is the greatest cosine of the angle between the residuals
// and the columns of the Jacobian that may move; 0 at a minimum.
func (f *fitter) gradientCosine() float64 {
	most, length := 0.0, math.Sqrt(f.cost)
	for j, g := range f.grad {
		if !f.held[j] && f.norm[j] > 0 {
			most = math.Max(most, math.Abs(g)/(f.norm[j]*length))
		}
	}
	return most
}

// descend tries ever shorter steps from x until one lowers the sum of
// squares, and takes it.
func (f *fitter) descend() Why {
	s := newStepper(f.jac, f.r, f.scale, f.held)
	for range triesMost {
		step, damping := s.step(f.radius)
		predicted := f.aim(step)
		trial := f.evaluate(f.trialR, f.trialX)
		actual := f.cost - trial
		ratio := -1.0
		if predicted > 0 && !math.IsInf(trial, 1) {
			ratio = actual / predicted
		}
		f.resize(ratio, damping)
		small := math.Abs(actual) <= f.set.CostTol*f.cost && predicted <= f.set.CostTol*f.cost && ratio <= 2
		took := ratio >= 1e-4
		if took {
			f.x, f.trialX = f.trialX, f.x
			f.r, f.trialR = f.trialR, f.r
			f.cost = trial
		}
		switch {
		case small:
			return WhyCost
		case f.radius <= f.set.StepTol*f.scaledSize():
			return WhyStep
		case took:
			return WhyNone
		}
	}
	return WhyStep
}

// aim puts x plus the scaled step, cut at the bounds, into trialX and returns
// the fall of the sum of squares that the linear model predicts for it.
func (f *fitter) aim(step []float64) float64 {
	n := len(f.x)
	move := mat.NewVecDense(n, nil)
	length := 0.0
	for j := range n {
		f.trialX[j] = f.x[j]
		if f.held[j] || f.scale[j] == 0 {
			continue
		}
		f.trialX[j] = f.p.clip(j, f.x[j]+step[j]/f.scale[j])
		d := f.trialX[j] - f.x[j]
		move.SetVec(j, d)
		length += square(d * f.scale[j])
	}
	f.stepLast = math.Sqrt(length)
	var along mat.VecDense
	along.MulVec(f.jac, move)
	return -2*floats.Dot(f.grad, move.RawVector().Data) - mat.Dot(&along, &along)
}

// resize moves the radius of the trust region by how well the linear model
// foretold the fall, with the limits of Moré 1978, section 6.
func (f *fitter) resize(ratio, damping float64) {
	switch {
	case ratio < 0:
		f.radius = 0.1 * math.Min(f.radius, 10*f.stepLast)
	case ratio <= 0.25:
		f.radius = 0.5 * math.Min(f.radius, 10*f.stepLast)
	case ratio >= 0.75 || damping == 0:
		f.radius = 2 * f.stepLast
	}
}

// scaledSize is the length of the parameters' sizes, scaled: what a step is
// short or long against. Sizes do not vanish where a parameter does.
func (f *fitter) scaledSize() float64 {
	sum := 0.0
	for j := range f.x {
		sum += square(f.size(j) * f.scale[j])
	}
	return math.Sqrt(sum)
}
