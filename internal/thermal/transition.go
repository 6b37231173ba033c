package thermal

import "math"

// Transition takes the estimate a step on, as StepOpen does, and writes into jac
// how the state rows of its vector go by each element: column by column,
// Layout.AtBias rows each, by differences of one-sided steps. What is the same
// in both steps is worked out once. The free parameters and the probe's bias
// stay as they are.
func (b *Estimate) Transition(p1Pa, p2Pa, ambientK, dtS float64, jac []float64) Flow {
	m, l := b.Model, &b.Layout
	rows := l.AtBias()
	m.InletK(&b.State, 0.5*(p1Pa+p2Pa), ambientK)
	from, c := b.State, b.Params.coefficients()
	base := step{noSkins: l.Skin == [PlacesMost]bool{}}
	flow := base.open(m, &b.State, &c, p1Pa, p2Pa, ambientK, dtS)
	var x, end, moved [VectorMost]float64
	l.Pack(&from, b.BiasK, &b.Params, x[:l.N])
	l.Pack(&b.State, b.BiasK, &b.Params, end[:l.N])
	for j := range l.N {
		col := jac[j*rows : j*rows+rows]
		if j == rows || j == l.parAt[ParHand] { // the bias, and what a person reads off
			clear(col)
			continue
		}
		keep, step := x[j], l.DifferenceStep(j)
		x[j] += step
		s, p, bias, t, cj := from, b.Params, b.BiasK, base, c
		l.Unpack(x[:l.N], &s, &bias, &p)
		x[j] = keep
		if j > rows {
			cj = p.coefficients()
		}
		if l.felt(j) {
			t.open(m, &s, &cj, p1Pa, p2Pa, ambientK, dtS)
		} else {
			t.finish(m, &s, &cj)
		}
		l.Pack(&s, bias, &p, moved[:l.N])
		for i := range col {
			col[i] = (moved[i] - end[i]) / step
		}
	}
	if b.Considered > 0 {
		b.secant(&from, &base, p1Pa, p2Pa, ambientK, dtS, jac, x[:l.N], end[:l.N])
	}
	return flow
}

// secantSigmas is over how many sigma a band reaches, and with it the column of a
// parameter that is considered. Over one alone, half of a far end unmixed would count
// for seven eighths of what all of it does (farPart), and two of that for three quarters
// as much again as there can be.
const secantSigmas = 2.0

// secant takes the column of the parameter that is considered over two sigma of all
// that goes with it, less what the others' columns say of that: what it does may go
// by its product with them, and a difference over a little of it alone is then as
// small as its mean. The covariance keeps what so much of it does (statistical
// linearisation; Gelb 1974).
func (b *Estimate) secant(from *State, base *step, p1Pa, p2Pa, ambientK, dtS float64, jac, x, end []float64) {
	l, n, at := &b.Layout, b.Layout.N, b.Considered
	rows, v := l.AtBias(), b.Cov[at*n+at]
	if !(v > 0) {
		return
	}
	sigma := math.Sqrt(v)
	for j := range x {
		x[j] += secantSigmas * b.Cov[at*n+j] / sigma
	}
	s, p, bias, t := *from, b.Params, b.BiasK, *base
	l.Unpack(x, &s, &bias, &p)
	c := p.coefficients()
	t.open(b.Model, &s, &c, p1Pa, p2Pa, ambientK, dtS)
	l.Pack(&s, bias, &p, x)
	col := jac[at*rows : at*rows+rows]
	for i := range col {
		col[i] = (x[i] - end[i]) / (secantSigmas * sigma)
	}
	for j := range n {
		if goes := b.Cov[at*n+j] / v; j != at && j != rows && goes != 0 {
			for i, d := range jac[j*rows : j*rows+rows] {
				col[i] -= goes * d
			}
		}
	}
}

// felt tells whether gas and walls feel an element; the others are those of the
// sensors, and of what layers do to one place or another.
func (l *Layout) felt(i int) bool {
	switch {
	case i == AtBead || i == l.excessAt || i > l.farAt && i <= l.biasAt:
		return false
	case i < l.biasAt:
		return true
	}
	for _, p := range ofSensors {
		if l.parAt[p] == i {
			return false
		}
	}
	return l.parAt[ParUneven] != i
}
