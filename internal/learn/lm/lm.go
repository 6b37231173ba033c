// Package lm fits the parameters of a model to data by least squares:
// Levenberg–Marquardt with a trust region.
//
// The step follows J. J. Moré, "The Levenberg–Marquardt algorithm:
// implementation and theory", Lecture Notes in Mathematics 630 (1978): each
// parameter is scaled by the largest norm that its column of the Jacobian has
// had, and the damping is found for a trust region's radius instead of being
// guessed. Least squares are solved by QR, never by normal equations.
//
// Bounds are kept by projection: a parameter that sits on a bound and would
// leave the box is held for the step, and the step is cut at the box.
package lm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Problem is a least-squares problem: the sum of squares of N residuals over
// the parameters x.
type Problem struct {
	N         int                             // residuals, at least as many as parameters
	Residuals func(r, x []float64)            // fills r, length N; not finite means that x is not allowed
	Jacobian  func(j *mat.Dense, x []float64) // fills j, N by len(x); nil: central differences
	Lower     []float64                       // bound of each parameter, -Inf for none; nil: no bounds
	Upper     []float64                       // bound of each parameter, +Inf for none; nil: no bounds
	Typical   []float64                       // size of each parameter, > 0, under which differences don't shrink; nil: from the values met
}

// Settings steer a fit. A zero value stands for the default in brackets.
type Settings struct {
	IterationsMost int     // accepted steps [500]
	GradientTol    float64 // greatest cosine between residuals and a column of the Jacobian [1e-12]
	CostTol        float64 // relative fall of the sum of squares, seen and predicted [1e-15]
	StepTol        float64 // radius of the trust region against the scaled parameters [1e-13]
	RankTol        float64 // singular value against the greatest, columns scaled to 1 [1e-8]
	RadiusFirst    float64 // first radius against the scaled parameters [1: a step may double them]
}

// Why says why a fit ended.
type Why uint8

// Ends of a fit. WhyIterations is the only one that is no solution.
const (
	WhyNone       Why = iota
	WhyGradient       // the gradient vanished
	WhyCost           // the sum of squares falls no further
	WhyStep           // the parameters move no further
	WhyIterations     // IterationsMost steps were not enough
)

var whyNames = [...]string{"not ended", "gradient vanished", "cost settled", "step settled", "too many iterations"}

// String is a short phrase.
func (w Why) String() string { return whyNames[w] }

// Result is a fit. Its slices have the length of the parameters, but
// Residuals, which has N.
type Result struct {
	X           []float64
	Residuals   []float64
	SSE         float64       // sum of squared residuals
	DOF         int           // N less the parameters
	Sigma       float64       // residual standard deviation, √(SSE/DOF); NaN for DOF 0
	Covariance  *mat.SymDense // Sigma² (JᵀJ)⁻¹; NaN in the rows of held parameters
	StdErr      []float64     // root of its diagonal; NaN for held, +Inf for confounded parameters
	AtBound     []bool        // held at a bound at the end
	Rank        int           // of the Jacobian of the parameters that are not held
	Confounded  [][]int       // groups of parameters that the data can't tell apart
	Iterations  int           // accepted steps
	Evaluations int           // calls of Residuals, those for differences with them
	Why         Why
}

// Converged says whether X is a minimum as far as the tolerances can tell.
func (r *Result) Converged() bool { return r.Why != WhyNone && r.Why != WhyIterations }

// InputError says what is wrong with a Problem or its start.
type InputError struct{ What string }

// Error says what is wrong.
func (e *InputError) Error() string { return "least squares: " + e.What }

func (s Settings) withDefaults() Settings {
	or := func(v *float64, def float64) {
		if *v <= 0 {
			*v = def
		}
	}
	or(&s.GradientTol, 1e-12)
	or(&s.CostTol, 1e-15)
	or(&s.StepTol, 1e-13)
	or(&s.RankTol, 1e-8)
	or(&s.RadiusFirst, 1)
	if s.IterationsMost <= 0 {
		s.IterationsMost = 500
	}
	return s
}

func (p *Problem) check(start []float64) error {
	n := len(start)
	switch {
	case n == 0:
		return &InputError{"no parameters to fit"}
	case p.Residuals == nil:
		return &InputError{"no residuals to fit"}
	case p.N < n:
		return &InputError{fmt.Sprintf("%d residuals can't fix %d parameters", p.N, n)}
	case p.Lower != nil && len(p.Lower) != n, p.Upper != nil && len(p.Upper) != n:
		return &InputError{fmt.Sprintf("bounds must be given for all %d parameters or for none", n)}
	case p.Typical != nil && len(p.Typical) != n:
		return &InputError{fmt.Sprintf("typical sizes must be given for all %d parameters or for none", n)}
	}
	for i, v := range start {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return &InputError{fmt.Sprintf("start of parameter %d is %v", i, v)}
		}
		if p.Typical != nil && !(p.Typical[i] > 0) {
			return &InputError{fmt.Sprintf("typical size of parameter %d is %v, must be positive", i, p.Typical[i])}
		}
		if lo, up := p.lower(i), p.upper(i); !(lo < up) {
			return &InputError{fmt.Sprintf("bounds of parameter %d are %v to %v", i, lo, up)}
		}
	}
	return nil
}

func (p *Problem) lower(i int) float64 {
	if p.Lower == nil {
		return math.Inf(-1)
	}
	return p.Lower[i]
}

func (p *Problem) upper(i int) float64 {
	if p.Upper == nil {
		return math.Inf(1)
	}
	return p.Upper[i]
}

// clip returns v inside the bounds of parameter i.
func (p *Problem) clip(i int, v float64) float64 {
	return math.Min(math.Max(v, p.lower(i)), p.upper(i))
}
