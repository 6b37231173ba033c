package lm

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// analytic Jacobians of the residuals y − model, by hand.
var jacobians = map[string]func(j *mat.Dense, b []float64, x []float64){
	"Misra1a": func(j *mat.Dense, b, x []float64) {
		for i, x := range x {
			e := math.Exp(-b[1] * x)
			j.SetRow(i, []float64{e - 1, -b[0] * x * e})
		}
	},
	"Eckerle4": func(j *mat.Dense, b, x []float64) {
		for i, x := range x {
			u := (x - b[2]) / b[1]
			e := math.Exp(-u*u/2) / b[1]
			j.SetRow(i, []float64{-e, b[0] * e * (1 - u*u) / b[1], -b[0] * e * u / b[1]})
		}
	},
	"Thurber": func(j *mat.Dense, b, x []float64) {
		for i, x := range x {
			den := 1 + x*(b[4]+x*(b[5]+x*b[6]))
			num := b[0] + x*(b[1]+x*(b[2]+x*b[3]))
			k := num / (den * den)
			j.SetRow(i, []float64{-1 / den, -x / den, -x * x / den, -x * x * x / den, k * x, k * x * x, k * x * x * x})
		}
	},
}

// TestJacobian proves that a Jacobian handed in is used and gives what NIST
// certified, with fewer calls than differences need.
func TestJacobian(t *testing.T) {
	done := 0
	for _, s := range readSets(t) {
		jac := jacobians[s.name]
		if jac == nil {
			continue
		}
		done++
		p := s.problem()
		plain := must.Get(Fit(p, s.starts[0], Settings{}))(t)
		p.Jacobian = func(j *mat.Dense, b []float64) { jac(j, b, s.x) }
		res := must.Get(Fit(p, s.starts[0], Settings{}))(t)
		if e := worst(res.X, s.certified); e > 5e-7 || !res.Converged() {
			t.Errorf("%s: parameters off by %g, %v", s.name, e, res.Why)
		}
		if e := worst(res.StdErr, s.stddev); e > 5e-5 {
			t.Errorf("%s: standard deviations off by %g", s.name, e)
		}
		must.Be(t, res.Evaluations < plain.Evaluations, "%s: %d calls with a Jacobian, %d without", s.name, res.Evaluations, plain.Evaluations)
	}
	must.Need(t, done == len(jacobians), "checked %d of %d", done, len(jacobians))
}

// TestLinear proves fit and covariance on straight-line problems against the
// normal equations, which are exact enough when well conditioned.
func TestLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "parameters")
		m := rapid.IntRange(n+2, 25).Draw(t, "data")
		a, y := mat.NewDense(m, n, nil), mat.NewVecDense(m, nil)
		num := rapid.Float64Range(-1, 1)
		for i := range m {
			for j := range n {
				a.Set(i, j, num.Draw(t, "a"))
			}
			a.Set(i, i%n, a.At(i, i%n)+5) // dominant, so of full rank
			y.SetVec(i, 10*num.Draw(t, "y"))
		}
		var ata, inv mat.Dense
		ata.Mul(a.T(), a)
		must.Do(t, inv.Inverse(&ata))
		var aty, want mat.VecDense
		aty.MulVec(a.T(), y)
		want.MulVec(&inv, &aty)
		res, err := Fit(linear(a, y), make([]float64, n), Settings{})
		must.Need(t, err == nil && res.Converged() && res.Rank == n, "%v, %+v", err, res)
		for i := range n {
			must.Need(t, math.Abs(res.X[i]-want.AtVec(i)) <= 1e-6*res.StdErr[i]+1e-8, "parameter %d is %g, want %g", i, res.X[i], want.AtVec(i))
			for j := range n {
				c := res.Sigma * res.Sigma * inv.At(i, j)
				if math.Abs(res.Covariance.At(i, j)-c) > 1e-6*res.Sigma*res.Sigma*inv.At(i, i)+1e-12 {
					t.Fatalf("covariance %d %d is %g, want %g", i, j, res.Covariance.At(i, j), c)
				}
			}
		}
	})
}

func linear(a *mat.Dense, y *mat.VecDense) Problem {
	m, _ := a.Dims()
	return Problem{N: m, Residuals: func(r, x []float64) {
		v := mat.NewVecDense(m, r)
		v.MulVec(a, mat.NewVecDense(len(x), x))
		v.SubVec(v, y)
	}}
}

// TestBounds proves that bounds hold at every call, and that the bounded
// minimum of a convex problem is found: no point of a grid in the box is lower.
func TestBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-2, 2)
		a, y := mat.NewDense(4, 2, nil), mat.NewVecDense(4, nil)
		for i := range 4 {
			a.SetRow(i, []float64{num.Draw(t, "a"), num.Draw(t, "b")})
			y.SetVec(i, num.Draw(t, "y"))
		}
		a.Set(0, 0, 3)
		a.Set(1, 1, 3)
		p := linear(a, y)
		p.Lower = []float64{num.Draw(t, "low0"), num.Draw(t, "low1")}
		p.Upper = []float64{p.Lower[0] + rapid.Float64Range(0.1, 2).Draw(t, "w0"), p.Lower[1] + rapid.Float64Range(0.1, 2).Draw(t, "w1")}
		plain := p.Residuals
		p.Residuals = func(r, x []float64) {
			for i := range x {
				must.Need(t, x[i] >= p.Lower[i] && x[i] <= p.Upper[i], "called at %v, outside %v to %v", x, p.Lower, p.Upper)
			}
			plain(r, x)
		}
		res, err := Fit(p, []float64{10, -10}, Settings{})
		must.Need(t, err == nil && res.Converged(), "%v, %+v", err, res)
		r := make([]float64, 4)
		for i := range 21 {
			for j := range 21 {
				x := []float64{p.Lower[0] + (p.Upper[0]-p.Lower[0])*float64(i)/20, p.Lower[1] + (p.Upper[1]-p.Lower[1])*float64(j)/20}
				x[0], x[1] = min(x[0], p.Upper[0]), min(x[1], p.Upper[1])
				plain(r, x)
				sse := r[0]*r[0] + r[1]*r[1] + r[2]*r[2] + r[3]*r[3]
				must.Need(t, sse >= res.SSE*(1-1e-9)-1e-12, "%v gives %g, less than %g at %v", x, sse, res.SSE, res.X)
			}
		}
		for i := range 2 {
			must.Need(t, res.AtBound[i] == math.IsNaN(res.StdErr[i]),
				"parameter %d: at bound %v, standard error %g", i, res.AtBound[i], res.StdErr[i])
		}
	})
}

// TestBoundedNIST proves that bounds that are far off do not disturb a fit,
// and that one that cuts the minimum off is reported.
func TestBoundedNIST(t *testing.T) {
	s := must.Get(readSet("testdata/Misra1a.txt"))(t)
	p := s.problem()
	p.Lower, p.Upper = []float64{0, 0}, []float64{1e6, 1}
	res, err := Fit(p, s.starts[0], Settings{})
	must.Need(t, err == nil && worst(res.X, s.certified) <= 5e-7 && worst(res.StdErr, s.stddev) <= 5e-5, "%v, %+v", err, res)
	p.Upper[0] = 200
	res, err = Fit(p, s.starts[0], Settings{})
	must.Need(t, err == nil && res.Converged(), "%v, %+v", err, res)
	must.Be(t, res.X[0] == 200 && res.AtBound[0] && !res.AtBound[1] && math.IsNaN(res.StdErr[0]) && res.StdErr[1] > 0, "cut off at 200: %+v", res)
}

// TestTangled proves that parameters that the data can't tell apart are named
// and carry no finite error, while the others keep theirs.
func TestTangled(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5}
	p := Problem{N: len(x), Residuals: func(r, b []float64) {
		for i, x := range x {
			r[i] = (b[0]+b[2])*x + b[1] - (2*x + 1 + 0.1*math.Sin(9*x))
		}
	}}
	res, err := Fit(p, []float64{0.3, 0, 0.5, 7}, Settings{})
	must.Need(t, err == nil && res.Converged(), "%v, %+v", err, res)
	must.Need(t, res.Rank == 2 && len(res.Confounded) == 2, "rank %d, confounded %v", res.Rank, res.Confounded)
	must.Be(t, slices.Equal(res.Confounded[0], []int{3}) && slices.Equal(res.Confounded[1], []int{0, 2}),
		"confounded %v, want 3 by itself, and 0 with 2", res.Confounded)
	for i, inf := range []bool{true, false, true, true} {
		must.Be(t, math.IsInf(res.StdErr[i], 1) == inf, "standard error of %d is %g", i, res.StdErr[i])
	}
	// The line's intercept keeps the textbook error s·√(1/n + x̄²/Sxx), here
	// with a DOF of 2 instead of 4, since four parameters were fitted.
	want := res.Sigma * math.Sqrt(1.0/6+2.5*2.5/17.5)
	must.Be(t, math.Abs(res.StdErr[1]/want-1) <= 1e-6, "intercept's error %g, want %g", res.StdErr[1], want)
}

// TestFarPlateau proves that a fit that ran off to where a parameter has no
// effect does not pass as one: BoxBOD from its first start with a long first
// step ends with b1·1 at the mean.
func TestFarPlateau(t *testing.T) {
	s := must.Get(readSet("testdata/BoxBOD.txt"))(t)
	res := must.Get(Fit(s.problem(), s.starts[0], Settings{RadiusFirst: 100}))(t)
	must.Be(t, math.Abs(res.X[0]-172.5) <= 1e-3 && res.Rank == 1 && math.IsInf(res.StdErr[1], 1), "%+v", res)
}

// TestNotAllowed proves that a region where the residuals are not finite is
// kept out of, and that a start there is refused.
func TestNotAllowed(t *testing.T) {
	p := Problem{N: 3, Residuals: func(r, x []float64) {
		for i := range r {
			r[i] = math.Log(x[0]) - math.Log(0.001)*float64(i+1)/2
		}
	}}
	res, err := Fit(p, []float64{500}, Settings{})
	must.Be(t, err == nil && res.Converged() && math.Abs(res.X[0]/0.001-1) <= 1e-6, "%v, %+v", err, res)
	var in *InputError
	if _, err := Fit(p, []float64{-1}, Settings{}); !errors.As(err, &in) {
		t.Errorf("start outside: %v", err)
	}
}

// TestTooFewIterations proves that running out of iterations is told.
func TestTooFewIterations(t *testing.T) {
	s := must.Get(readSet("testdata/MGH10.txt"))(t)
	res, err := Fit(s.problem(), s.starts[0], Settings{IterationsMost: 3})
	must.Be(t, err == nil && !res.Converged() && res.Why == WhyIterations && res.Iterations == 3, "%v, %+v", err, res)
}

// TestInputErrors proves that each misuse has its own words.
func TestInputErrors(t *testing.T) {
	res := func(r, x []float64) { r[0] = x[0] }
	for want, c := range map[string]struct {
		p Problem
		x []float64
	}{
		"no parameters":      {Problem{N: 1, Residuals: res}, nil},
		"no residuals":       {Problem{N: 1}, []float64{1}},
		"can't fix":          {Problem{N: 1, Residuals: res}, []float64{1, 2}},
		"bounds must":        {Problem{N: 1, Residuals: res, Lower: []float64{1, 2}}, []float64{1}},
		"typical":            {Problem{N: 1, Residuals: res, Typical: []float64{1, 2}}, []float64{1}},
		"typical size":       {Problem{N: 1, Residuals: res, Typical: []float64{0}}, []float64{1}},
		"start of parameter": {Problem{N: 1, Residuals: res}, []float64{math.NaN()}},
		"bounds of":          {Problem{N: 1, Residuals: res, Lower: []float64{2}, Upper: []float64{1}}, []float64{1}},
	} {
		_, err := Fit(c.p, c.x, Settings{})
		must.Be(t, err != nil && strings.Contains(err.Error(), want), "want %q, have %v", want, err)
	}
}

// TestExact proves that a fit without residual ends, and that as many data as
// parameters give no error estimate.
func TestExact(t *testing.T) {
	p := Problem{N: 2, Residuals: func(r, x []float64) { r[0], r[1] = x[0]-3, x[0]*x[1]-6 }}
	res, err := Fit(p, []float64{1, 0}, Settings{})
	must.Need(t, err == nil && res.Converged() && math.Abs(res.X[1]-2) <= 1e-9, "%v, %+v", err, res)
	must.Be(t, math.IsNaN(res.Sigma) && math.IsNaN(res.StdErr[0]), "errors without degrees of freedom: %+v", res)
}

func BenchmarkThurber(b *testing.B) {
	s := must.Get(readSet("testdata/Thurber.txt"))(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Fit(s.problem(), s.starts[0], Settings{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLong is of the size of three 7-minute fills at 10 Hz with five
// parameters.
func BenchmarkLong(b *testing.B) {
	const n = 12600
	p := Problem{N: n, Residuals: func(r, x []float64) {
		for i := range r {
			t := float64(i) / 1000
			r[i] = x[0]*math.Exp(-x[1]*t) + x[2]*math.Exp(-x[3]*t) + x[4] - (3*math.Exp(-2*t) + math.Exp(-0.3*t) + 0.1*math.Sin(37*t))
		}
	}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Fit(p, []float64{1, 1, 0.5, 0.1, 0.1}, Settings{}); err != nil {
			b.Fatal(err)
		}
	}
}
