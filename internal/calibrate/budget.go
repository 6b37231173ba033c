package calibrate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Component is one source of uncertainty of a result.
type Component struct {
	Name string
	U    float64 // standard uncertainty in the result's unit, sensitivity included
	Dof  float64 // degrees of freedom; +Inf for what is taken as known
}

// Budget lists the independent sources of uncertainty of one result.
type Budget []Component

// Combined is the combined standard uncertainty, the root of the sum of
// squares (JCGM 100:2008, equation 10), and its effective degrees of freedom
// by Welch and Satterthwaite (equation G.2b).
func (b Budget) Combined() (u, dof float64) {
	var sum, share float64
	for _, c := range b {
		v := c.U * c.U
		sum += v
		if v > 0 && !math.IsInf(c.Dof, 1) {
			share += v * v / c.Dof
		}
	}
	if share == 0 {
		return math.Sqrt(sum), math.Inf(1)
	}
	return math.Sqrt(sum), sum * sum / share
}

// confidence belongs to k = 2 of a normal distribution: 95.45 %.
const confidence = 0.9545

// Expanded is the expanded uncertainty of a level of confidence of 95.45 %,
// with its coverage factor: 2 for many degrees of freedom, Student's factor
// for few (JCGM 100:2008, G.6.4).
func (b Budget) Expanded() (expanded, k float64) {
	u, dof := b.Combined()
	k = Student(confidence, dof)
	return k * u, k
}

// Student is the two-sided factor of Student's t-distribution for a level of
// confidence p and dof degrees of freedom, which need not be whole; +Inf
// gives the normal distribution's.
func Student(p, dof float64) float64 {
	if math.IsInf(dof, 1) || dof > 1e6 {
		return distuv.UnitNormal.Quantile((1 + p) / 2)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(dof, 1)}.Quantile((1 + p) / 2)
}

// within is the standard uncertainty of what lies anywhere between −a and a
// with equal chance (JCGM 100:2008, 4.3.7).
func within(a float64) float64 { return math.Abs(a) / math.Sqrt(3) }

// step is the standard uncertainty of a reading with a resolution q (JCGM
// 100:2008, F.2.2.1).
func step(q float64) float64 { return math.Abs(q) / math.Sqrt(12) }

var known = math.Inf(1)

// mean is the mean of a series that may be correlated from one value to the
// next.
type mean struct {
	value float64
	u     float64 // standard uncertainty (type A)
	dof   float64
}

// meanOf averages y. What is correlated does not average out: the variance of
// the mean is s²·τ/n with τ = 1 + 2·Σ(1 − k/n)·ρₖ, summed until the
// correlation has gone (JCGM 100:2008, 4.2.7, warns of it; the sum is that of
// Priestley 1981, 5.3, citation from memory). A series shorter than three
// gives NaN.
func meanOf(y []float64) mean {
	n := len(y)
	if n < 3 {
		return mean{math.NaN(), math.NaN(), math.NaN()}
	}
	var sum, square float64
	for _, v := range y {
		sum += v
	}
	m := sum / float64(n)
	for _, v := range y {
		square += (v - m) * (v - m)
	}
	tau := 1.0
	for k := 1; k <= n/3 && square > 0; k++ {
		var c float64
		for i := k; i < n; i++ {
			c += (y[i] - m) * (y[i-k] - m)
		}
		rho := c / square
		if rho <= 0 {
			break
		}
		tau += 2 * (1 - float64(k)/float64(n)) * rho
	}
	independent := math.Max(float64(n)/tau, 2)
	// The mean takes one of the independent values' freedom.
	variance := square / float64(n) * independent / (independent - 1)
	return mean{m, math.Sqrt(variance / independent), independent - 1}
}
