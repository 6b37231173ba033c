package lm

import "math"

// differenceStep is the relative step of a central difference: the cube root
// of the machine epsilon balances truncation, h², against rounding, ε/h.
var differenceStep = math.Cbrt(0x1p-52)

// fillJacobian fills jac at x, by the Problem's own function or by
// differences.
func (f *fitter) fillJacobian() {
	if f.p.Jacobian != nil {
		f.p.Jacobian(f.jac, f.x)
		return
	}
	copy(f.trialX, f.x)
	for j := range f.x {
		f.difference(j)
	}
}

// sizeLeast keeps the difference of a parameter that passes near zero from
// shrinking into rounding noise, as a share of the greatest value it has had.
const sizeLeast = 1e-2

// size is the magnitude of parameter j for its difference: the present one,
// but not under its typical size, or a share of the greatest so far.
func (f *fitter) size(j int) float64 {
	at := math.Abs(f.x[j])
	f.most[j] = math.Max(f.most[j], at)
	floor := sizeLeast * f.most[j]
	if f.p.Typical != nil {
		floor = f.p.Typical[j]
	}
	return math.Max(at, floor)
}

// difference fills column j by a central difference, or by a one-sided one
// where a bound or an x that is not allowed stands on the other side.
func (f *fitter) difference(j int) {
	at, size := f.x[j], f.size(j)
	up, down := f.p.clip(j, at+size*differenceStep), f.p.clip(j, at-size*differenceStep)
	f.trialX[j] = up
	if math.IsInf(f.evaluate(f.trialR, f.trialX), 1) {
		up = at
		copy(f.trialR, f.r)
	}
	f.trialX[j] = down
	if math.IsInf(f.evaluate(f.diffR, f.trialX), 1) {
		down = at
		copy(f.diffR, f.r)
	}
	f.trialX[j] = at
	width := up - down
	for i := range f.r {
		slope := 0.0
		if width > 0 {
			slope = (f.trialR[i] - f.diffR[i]) / width
		}
		f.jac.Set(i, j, slope)
	}
}
