package learn

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"fillwright/internal/thermal"
)

const (
	saysMore  = 1.0 // information of the fills in that of the handbook: at least as much
	mixedPart = 0.4 // a parameter's part in a direction that counts
)

// confounded finds parameters of which the fills say something, but only of some
// combination: each alone would be known if the others were, and along a
// direction that mixes them the handbook knows more than the fills do. That is
// an eigenvector of σ(C⁻¹ − Σ⁻¹)σ with a small eigenvalue, where C is the
// covariance after the fit and Σ, with the sigmas σ, that before (Bayes' rule
// for normal distributions: informations add).
func (o *Outcome) confounded() [][]int {
	var all []int
	for _, i := range o.Free {
		if _, sigma := o.prior(i); sigma > 0 && o.Cov[i][i] > 0 {
			all = append(all, i)
		}
	}
	info, ok := o.information(all)
	if !ok {
		return nil
	}
	var heard []int
	for k, i := range all {
		if info.At(k, k) > saysMore {
			heard = append(heard, i)
		}
	}
	if info, ok = o.information(heard); !ok || len(heard) < 2 {
		return nil
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(info, true) {
		return nil
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	into := make([]int, len(heard)) // parameters in one group share a number
	for k := range into {
		into[k] = k
	}
	for c, value := range eigen.Values(nil) {
		first := -1
		for k := range heard {
			switch {
			case value >= saysMore || math.Abs(v.At(k, c)) < mixedPart:
			case first < 0:
				first = into[k]
			default:
				join(into, into[k], first)
			}
		}
	}
	return groupsOf(heard, into)
}

// join gives all of one group the number of another.
func join(into []int, from, to int) {
	for k := range into {
		if into[k] == from {
			into[k] = to
		}
	}
}

// groupsOf lists the groups of more than one.
func groupsOf(heard, into []int) [][]int {
	var groups [][]int
	for n := range into {
		var g []int
		for k, i := range heard {
			if into[k] == n {
				g = append(g, i)
			}
		}
		if len(g) > 1 {
			groups = append(groups, g)
		}
	}
	return groups
}

// information is what the fills say of some parameters, in units of what the
// handbook says of each.
func (o *Outcome) information(of []int) (*mat.SymDense, bool) {
	n := len(of)
	if n == 0 {
		return nil, false
	}
	scaled := mat.NewSymDense(n, nil)
	for a, i := range of {
		_, si := o.prior(i)
		for b, j := range of[:a+1] {
			_, sj := o.prior(j)
			scaled.SetSym(a, b, o.Cov[i][j]/(si*sj))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(scaled) {
		return nil, false
	}
	info := mat.NewSymDense(n, nil)
	if err := chol.InverseTo(info); err != nil {
		return nil, false // as good as singular: lm has named it
	}
	for a := range of {
		info.SetSym(a, a, info.At(a, a)-1)
	}
	return info, true
}

// parName is a parameter's name; the inflow's says what it is counted from.
func (o *Outcome) parName(i int) string {
	if i != thermal.ParInflow || o.Inlet == thermal.InletAmbient {
		return thermal.ParName(i)
	}
	return fmt.Sprintf("inflow above %s supply", o.Inlet)
}

// prior is what was known of a parameter before the fit.
func (o *Outcome) prior(i int) (mean, sigma float64) {
	if i == thermal.ParInflow && o.Variant.Free[i] {
		return thermal.InflowPrior(o.Inlet)
	}
	mean, sigma = o.Variant.Prior(i)
	return mean, hanging(i, sigma)
}
