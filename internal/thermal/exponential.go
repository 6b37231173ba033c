package thermal

import "math"

// The film law is asked some ten times in every step of every forecast, and what
// package math spends on the last bit of a logarithm and an exponential was a
// quarter of a replay. These take both off small tables with a short series; what
// they miss is a part in 10¹¹, far less than is known of any film.

const (
	tableBits  = 7
	tableParts = 1 << tableBits
	// fractionBits is a float64's fraction, exponentBias its exponent of 1 (IEEE 754).
	fractionBits = 52
	exponentBias = 1023
)

// lnParts has, for each part of [1, 2), one over its middle, and that middle's logarithm.
var lnParts = func() (t [tableParts]struct{ inverse, ln float64 }) {
	for i := range t {
		t[i].inverse = 1 / (1 + (float64(i)+0.5)/tableParts)
		t[i].ln = -math.Log(t[i].inverse)
	}
	return t
}()

// expParts are the bits of 2^(i/tableParts).
var expParts = func() (t [tableParts]uint64) {
	for i := range t {
		t[i] = math.Float64bits(math.Exp2(float64(i) / tableParts))
	}
	return t
}()

// ln is the natural logarithm of a positive number that is not subnormal, to
// 10⁻¹²; of one that is unknown it is unknown.
func ln(x float64) float64 {
	if !(x <= math.MaxFloat64) {
		return x
	}
	b := math.Float64bits(x)
	p := &lnParts[b>>(fractionBits-tableBits)&(tableParts-1)]
	r := math.Float64frombits(b&(1<<fractionBits-1)|exponentBias<<fractionBits)*p.inverse - 1
	return float64(int(b>>fractionBits)-exponentBias)*math.Ln2 + p.ln + r*(1+r*(-1./2+r*(1./3-r*(1./4))))
}

// exp is e to the power x, to 10⁻¹² of itself; beyond e^±expMost it is that.
func exp(x float64) float64 {
	x = min(max(x, -expMost), expMost)
	n := x*(tableParts/math.Ln2) + roundAdd
	k := math.Float64bits(n)
	r := x - (n-roundAdd)*(math.Ln2/tableParts)
	return math.Float64frombits(expParts[k&(tableParts-1)]+k>>tableBits<<fractionBits) * (1 + r*(1+r*(1./2+r*(1./6+r*(1./24)))))
}

const (
	expMost = 700.0 // no film, and no part of a step, is further from 1
	// roundAdd leaves no bits for a fraction, so that a sum with it is rounded to whole numbers,
	// which stand in its lowest bits.
	roundAdd = 3 << (fractionBits - 1)
)
