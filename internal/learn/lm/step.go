package lm

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// stepper finds steps of limited length at one point. It works in scaled
// parameters q = D·p, in which the trust region is a ball.
type stepper struct {
	free []int      // parameters that may move
	all  int        // parameters
	r    *mat.Dense // upper triangle of the scaled Jacobian, free by free
	qtf  []float64  // residuals in the Jacobian's columns, Qᵀf
}

// newStepper factorises the scaled Jacobian's free columns. The residuals
// ride along as one more column, so that Q, which is as large as the square
// of the data, is never formed.
func newStepper(jac *mat.Dense, res, scale []float64, held []bool) *stepper {
	s := &stepper{all: len(scale)}
	for j := range scale {
		if !held[j] && scale[j] > 0 {
			s.free = append(s.free, j)
		}
	}
	n := len(s.free)
	if n == 0 {
		return s
	}
	a := mat.NewDense(max(len(res), n+1), n+1, nil)
	for i, f := range res {
		for k, j := range s.free {
			a.Set(i, k, jac.At(i, j)/scale[j])
		}
		a.Set(i, n, f)
	}
	s.r, s.qtf = triangle(a)
	return s
}

// triangle returns R of a's QR factors without its last column, and the last
// column, both cut to as many rows as R has columns.
func triangle(a *mat.Dense) (*mat.Dense, []float64) {
	_, c := a.Dims()
	var qr mat.QR
	qr.Factorize(a)
	var r mat.Dense
	qr.RTo(&r)
	last := make([]float64, c-1)
	for i := range last {
		last[i] = r.At(i, c-1)
	}
	return mat.DenseCopyOf(r.Slice(0, c-1, 0, c-1)), last
}

// step returns the scaled step, length all, whose length is within a tenth of
// radius or less, and the damping that made it so short; 0 is Gauss–Newton.
func (s *stepper) step(radius float64) ([]float64, float64) {
	q, damping := s.solve(radius)
	out := make([]float64, s.all)
	for k, j := range s.free {
		out[j] = q[k]
	}
	return out, damping
}

// solve searches the damping by Hebden's iteration on the secular equation,
// safeguarded as in Moré 1978, section 5.
func (s *stepper) solve(radius float64) ([]float64, float64) {
	n := len(s.free)
	if n == 0 {
		return nil, 0
	}
	low, high := 0.0, s.gradientNorm()/radius
	if s.fullRank() {
		q := backSolve(s.r, s.qtf)
		length := floats.Norm(q, 2)
		if length <= 1.1*radius {
			return q, 0
		}
		low = (length - radius) / (length * square(floats.Norm(forwardSolve(s.r, q), 2)/length))
	}
	damping := math.Max(0.001*high, math.Sqrt(low*high))
	var q []float64
	for range 10 {
		var rd *mat.Dense
		q, rd = s.damped(damping)
		length := floats.Norm(q, 2)
		over := length - radius
		if math.Abs(over) <= 0.1*radius || over < 0 && low == 0 && damping <= 0.001*high {
			break
		}
		if over > 0 {
			low = math.Max(low, damping)
		} else {
			high = math.Min(high, damping)
		}
		damping += over / radius * square(length/floats.Norm(forwardSolve(rd, q), 2))
		if damping <= low || damping >= high {
			damping = math.Max(0.001*high, math.Sqrt(low*high))
		}
	}
	return q, damping
}

// damped solves the least squares of R over √damping·1 against Qᵀf over 0.
func (s *stepper) damped(damping float64) ([]float64, *mat.Dense) {
	n := len(s.free)
	a := mat.NewDense(2*n, n+1, nil)
	for i := range n {
		for j := i; j < n; j++ {
			a.Set(i, j, s.r.At(i, j))
		}
		a.Set(i, n, s.qtf[i])
		a.Set(n+i, i, math.Sqrt(damping))
	}
	r, qtf := triangle(a)
	return backSolve(r, qtf), r
}

// gradientNorm is the length of the scaled gradient, Rᵀ·Qᵀf.
func (s *stepper) gradientNorm() float64 {
	var g mat.VecDense
	g.MulVec(s.r.T(), mat.NewVecDense(len(s.qtf), s.qtf))
	return mat.Norm(&g, 2)
}

// fullRank says whether the undamped triangle can be solved.
func (s *stepper) fullRank() bool {
	least, most := math.Inf(1), 0.0
	for i := range s.free {
		d := math.Abs(s.r.At(i, i))
		least, most = math.Min(least, d), math.Max(most, d)
	}
	return least > 1e-14*most
}

// backSolve solves r·q = −b for an upper triangle r.
func backSolve(r *mat.Dense, b []float64) []float64 {
	q := make([]float64, len(b))
	for i := len(b) - 1; i >= 0; i-- {
		sum := -b[i]
		for j := i + 1; j < len(b); j++ {
			sum -= r.At(i, j) * q[j]
		}
		q[i] = sum / r.At(i, i)
	}
	return q
}

// forwardSolve solves rᵀ·w = b for an upper triangle r.
func forwardSolve(r *mat.Dense, b []float64) []float64 {
	w := make([]float64, len(b))
	for i := range b {
		sum := b[i]
		for j := range i {
			sum -= r.At(j, i) * w[j]
		}
		w[i] = sum / r.At(i, i)
	}
	return w
}

func square(v float64) float64 { return v * v }
