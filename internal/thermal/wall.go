package thermal

import "math"

// Limits of the wall.
const (
	CellsMost = 8
	SidesMost = 2
)

// slab is a wall during one step, but for its film and what stands outside: N
// cells of equal thickness between the gas and the outside,
//
//	C/N dT_j/dt = G (T_{j-1} − 2 T_j + T_{j+1})   inside the wall,
//
// with film conductances to the gas and to the outside at its faces
// (Incropera & DeWitt, finite-volume form of one-dimensional conduction).
type slab struct {
	n       int
	heat    float64 // heat capacity of a cell, J/m²K
	link    float64 // conductance between neighbours, W/m²K
	outside float64 // conductance from last cell to the outside, W/m²K
	dtS     float64 // length of the step
}

// newSlab sets up a step. The lag form (one cell) is lumped: the film alone
// stands between gas and wall. A layered wall adds half a cell on each side.
func newSlab(n int, areaHeat, thickness, conductivity, outside, dtS float64) slab {
	s := slab{n: n, heat: areaHeat / float64(n), outside: outside, dtS: dtS}
	if n > 1 {
		s.link = conductivity * float64(n) / thickness
		s.outside = outside * 2 * s.link / (outside + 2*s.link)
	}
	return s
}

// insideWM2K is the conductance from the gas to the first cell behind a film.
func (s *slab) insideWM2K(film float64) float64 {
	if s.n == 1 {
		return film
	}
	return film * 2 * s.link / (film + 2*s.link)
}

// factors are those of I − γ dt A, with the slope of a slab A T, eliminated
// from the outside inwards (Thomas's algorithm), so that film and first cell come
// last: both sides of a vessel share them, and so do steps beside one another.
type factors struct {
	slab
	share      float64            // γ dt over the heat of a cell
	outIn      float64            // of the outside in the last cell
	first      float64            // pivot of the first cell, but for the film's part
	inv, down  [CellsMost]float64 // one over the pivots of the others, and what of the cell before goes into one
	near, late [CellsMost]float64 // what one kelvin of the first cell makes of each, and that of a stage before
	lateFirst  float64            // of that in the first cell's own equation
}

// of makes the factors of a slab, unless they are.
func (f *factors) of(s slab) {
	if f.slab == s {
		return
	}
	last := (s.n - 1) & (CellsMost - 1)
	f.slab, f.share = s, gammaSDIRK*s.dtS/s.heat
	f.outIn = f.share * s.outside
	link, d := f.share*s.link, 1+f.outIn
	for j := last; j > 0; j-- {
		f.inv[j] = 1 / (d + link)
		f.down[j] = link * f.inv[j]
		d = 1 + link - link*f.down[j]
	}
	f.first, f.near[0], f.late[0] = d, 1, 0
	for j := 1; j <= last; j++ {
		f.near[j] = f.down[j] * f.near[j-1]
	}
	f.lateFirst = f.near[last]
	for j := last; j > 0; j-- {
		f.late[j] = f.inv[j] * f.lateFirst
		f.lateFirst = f.near[j-1] + f.down[j]*f.lateFirst
	}
	for j := 1; j <= last; j++ {
		f.late[j] += f.down[j] * f.late[j-1]
	}
}

// solve puts y to the answer of the factored equations, with one over the first
// cell's pivot.
func (f *factors) solve(y *[CellsMost]float64, invFirst float64) {
	last := (f.n - 1) & (CellsMost - 1)
	for j := last; j > 0; j-- {
		y[j-1] += f.down[j] * y[j]
	}
	y[0] *= invFirst
	for j := 1; j <= last; j++ {
		y[j] = y[j]*f.inv[j] + f.down[j]*y[j-1]
	}
}

// wallRun is what a step does to the wall of a side, linear in the mean gas
// temperature of the step: T = base + gasK·gain, heat = heatBase + gasK·heatGain.
type wallRun struct {
	slab
	inside, outK       float64 // conductance from gas to first cell, W/m²K; outside equilibrium, K
	from               [CellsMost]float64
	base, gain         [CellsMost]float64
	heatBase, heatGain float64 // heat taken from the gas over the step, J/m²
	outBase, outGain   float64 // heat given to the outside over the step, J/m²
}

// run takes a wall through a step, unless that is the step it was taken through
// last.
func (w *wallRun) run(f *factors, film, outK float64, from *[CellsMost]float64) {
	inside := f.insideWM2K(film)
	if w.inside != inside || w.outK != outK || w.slab != f.slab || w.from != *from {
		w.slab, w.inside, w.outK, w.from = f.slab, inside, outK, *from
		w.step(f)
	}
}

// gammaSDIRK makes the two-stage diagonally implicit Runge–Kutta method
// second order and L-stable (Alexander 1977, SIAM J. Numer. Anal. 14:1006).
const gammaSDIRK = 1 - math.Sqrt2/2

// step takes the slab dtS seconds on, for any dtS. Keeping the answer
// linear in the gas temperature lets the gas balance be solved together with
// every station without iterating on the walls. A stage is its state rather than
// its slope, k = (Y − y₀)/(γ dt); the last one is the answer.
func (w *wallRun) step(f *factors) {
	last := (f.n - 1) & (CellsMost - 1)
	gasIn, outside := f.share*w.inside, f.outIn*w.outK
	invFirst := 1 / (f.first + gasIn)
	y, g := &w.base, &w.gain
	*y = w.from
	y[last] += outside
	f.solve(y, invFirst)
	g1 := gasIn * invFirst
	b1, b2 := (1-gammaSDIRK)*f.dtS, gammaSDIRK*f.dtS
	in1, out1, outGain1 := y[0], y[last], g1*f.near[last]
	const r = (1 - gammaSDIRK) / gammaSDIRK
	for j := range last + 1 {
		y[j] = w.from[j] + r*(y[j]-w.from[j])
	}
	y[last] += outside
	f.solve(y, invFirst)
	g2 := (r*g1*f.lateFirst + gasIn) * invFirst
	for j := range last + 1 {
		g[j] = g2*f.near[j] + r*g1*f.late[j]
	}
	// The same quadrature for the heat through both faces closes the balance.
	w.heatBase = -w.inside * (b1*in1 + b2*y[0])
	w.heatGain = w.inside * (f.dtS - b1*g1 - b2*g[0])
	w.outBase = f.outside * (b1*out1 + b2*y[last] - f.dtS*w.outK)
	w.outGain = f.outside * (b1*outGain1 + b2*g[last])
}
