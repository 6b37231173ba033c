package gas

import "math"

// term is one term of the residual Helmholtz energy,
//
//	n δ^d τ^t · exp(−δ^l) · exp(−η(δ−ε)² − β(τ−γ)²)
//
// with the first exponential only for l > 0 and the second only for η > 0.
// Every term is a function of δ times a function of τ, which this file uses:
// a solve along one of them works out the other once.
type term struct {
	n                         float64
	d                         int
	t                         float64
	l                         int
	eta, beta, gamma, epsilon float64
}

const (
	termsMost  = 36
	powersMost = 18 // highest power of δ below: d−1+2l for d = 11, l = 2 is 14
)

// densityPart holds, term by term, q(δ) = f(δ)/δ and its two derivatives, f
// being the term's function of δ. Dividing by δ keeps the limit of zero
// density exact.
type densityPart struct{ q, q1, q2 [termsMost]float64 }

// tempPart holds n·g(τ) and its two derivatives.
type tempPart struct{ g, g1, g2 [termsMost]float64 }

// powersOf fills the powers of δ; index 2 holds δ⁰, so that the exponents −2
// and −1, which only ever meet a zero factor, read zero.
func powersOf(delta float64) (p [powersMost + 2]float64) {
	x := 1.0
	for i := 2; i < len(p); i++ {
		p[i] = x
		x *= delta
	}
	return p
}

func (e *EOS) densityPart(delta float64, out *densityPart) {
	p := powersOf(delta)
	decay := [5]float64{1} // exp(−δ^l)
	for l := 1; l < len(decay); l++ {
		decay[l] = math.Exp(-p[l+2])
	}
	for i := range e.terms {
		t := &e.terms[i]
		m := t.d - 1
		fm := float64(m)
		d0, d1, d2 := p[m+2], fm*p[m+1], fm*(fm-1)*p[m]
		switch {
		case t.l > 0:
			fl, x := float64(t.l), decay[t.l]
			d2 += fl*fl*p[m+2*t.l] - fl*(2*fm+fl-1)*p[m+t.l]
			d1 -= fl * p[m+t.l+1]
			out.q[i], out.q1[i], out.q2[i] = d0*x, d1*x, d2*x
		case t.eta > 0:
			a := -2 * t.eta * (delta - t.epsilon)
			x := math.Exp(-t.eta * (delta - t.epsilon) * (delta - t.epsilon))
			d2 += 2*a*d1 + (a*a-2*t.eta)*d0
			out.q[i], out.q1[i], out.q2[i] = d0*x, (d1+a*d0)*x, d2*x
		default:
			out.q[i], out.q1[i], out.q2[i] = d0, d1, d2
		}
	}
}

func (e *EOS) tempPart(tau float64, out *tempPart) {
	ln := math.Log(tau)
	for i := range e.terms {
		t := &e.terms[i]
		a := t.t / tau
		exponent := t.t * ln
		slope, bend := a, -a/tau
		if t.eta > 0 {
			off := tau - t.gamma
			exponent -= t.beta * off * off
			slope -= 2 * t.beta * off
			bend -= 2 * t.beta
		}
		g := t.n * math.Exp(exponent)
		out.g[i], out.g1[i], out.g2[i] = g, g*slope, g*(slope*slope+bend)
	}
}

// residual holds the sums Σ q⁽ᵃ⁾ g⁽ᵇ⁾ over the terms; q1g2 and q2g1 are only
// needed for the slopes at the nodes of a table.
type residual struct {
	qg, q1g, q2g, qg1, q1g1, qg2, q1g2, q2g1 float64
}

func (e *EOS) residual(dp *densityPart, tp *tempPart) (r residual) {
	for i := range len(e.terms) {
		q, q1, q2 := dp.q[i], dp.q1[i], dp.q2[i]
		g, g1, g2 := tp.g[i], tp.g1[i], tp.g2[i]
		r.qg += q * g
		r.q1g += q1 * g
		r.q2g += q2 * g
		r.qg1 += q * g1
		r.q1g1 += q1 * g1
		r.qg2 += q * g2
		r.q1g2 += q1 * g2
		r.q2g1 += q2 * g1
	}
	return r
}
