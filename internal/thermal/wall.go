package thermal

import "math"

// Limits of the wall.
const (
	CellsMost = 8
	SidesMost = 2
)

// wallSolver is the wall of one side during one step: N cells of equal
// thickness between the gas and the outside,
//
//	C/N dT_j/dt = G (T_{j-1} − 2 T_j + T_{j+1})   inside the wall,
//
// with film conductances to the gas and to the outside at its faces
// (Incropera & DeWitt, finite-volume form of one-dimensional conduction).
type wallSolver struct {
	n       int
	heat    float64 // heat capacity of a cell, J/m²K
	link    float64 // conductance between neighbours, W/m²K
	inside  float64 // conductance from gas to first cell, W/m²K
	outside float64 // conductance from last cell to the outside, W/m²K
	outK    float64 // outside equilibrium, K
	dtS     float64 // length of the step
}

// newSlab sets up a step. The lag form (one cell) is lumped: the film alone
// stands between gas and wall. A layered wall adds half a cell on each side.
func newSlab(n int, areaHeat, thickness, conductivity, film, outside, outK, dtS float64) wallSolver {
	s := wallSolver{n: n, heat: areaHeat / float64(n), inside: film, outside: outside, outK: outK, dtS: dtS}
	if n > 1 {
		s.link = conductivity * float64(n) / thickness
		half := 2 * s.link
		s.inside = film * half / (film + half)
		s.outside = outside * half / (outside + half)
	}
	return s
}

// wallRun is what a step does to a wall, linear in the mean gas temperature of
// the step: T = base + gasK·gain, heat = heatBase + gasK·heatGain.
type wallRun struct {
	wallSolver
	from               [CellsMost]float64
	base, gain         [CellsMost]float64
	heatBase, heatGain float64 // heat taken from the gas over the step, J/m²
	outBase, outGain   float64 // heat given to the outside over the step, J/m²
}

// run takes a wall through a step, unless that is the step it was taken through
// last.
func (w *wallRun) run(s wallSolver, from *[CellsMost]float64) {
	if w.wallSolver != s || w.from != *from {
		w.wallSolver, w.from = s, *from
		w.step(from, w)
	}
}

// gammaSDIRK makes the two-stage diagonally implicit Runge–Kutta method
// second order and L-stable (Alexander 1977, SIAM J. Numer. Anal. 14:1006).
const gammaSDIRK = 1 - math.Sqrt2/2

// step takes the slab dtS seconds on from t, for any dtS. Keeping the answer
// linear in the gas temperature lets the gas balance be solved together with
// every station without iterating on the walls. A stage is its state rather than
// its slope, k = (Y − y₀)/(γ dt); the last one is the answer.
func (s *wallSolver) step(t *[CellsMost]float64, out *wallRun) {
	last, a := s.n-1, gammaSDIRK*s.dtS/s.heat
	// Thomas factors of I − γ dt A: one over the pivots, and what of the next cell
	// goes into one.
	link, gasIn, outIn := a*s.link, a*s.inside, a*s.outside
	var inv, up [CellsMost]float64
	d := 1 + gasIn
	for j := range last {
		inv[j] = 1 / (d + link)
		up[j] = link * inv[j]
		d = 1 + link - link*up[j]
	}
	inv[last] = 1 / (d + outIn)
	y, g := &out.base, &out.gain
	*y, *g = *t, [CellsMost]float64{gasIn}
	y[last] += outIn * s.outK
	thomas(last, &inv, &up, y, g)
	b1, b2 := (1-gammaSDIRK)*s.dtS, gammaSDIRK*s.dtS
	in1, inGain1, out1, outGain1 := y[0], g[0], y[last], g[last]
	const r = (1 - gammaSDIRK) / gammaSDIRK
	for j := range s.n {
		y[j], g[j] = t[j]+r*(y[j]-t[j]), r*g[j]
	}
	g[0] += gasIn
	y[last] += outIn * s.outK
	thomas(last, &inv, &up, y, g)
	// The same quadrature for the heat through both faces closes the balance.
	out.heatBase = -s.inside * (b1*in1 + b2*y[0])
	out.heatGain = s.inside * (s.dtS - b1*inGain1 - b2*g[0])
	out.outBase = s.outside * (b1*out1 + b2*y[last] - s.dtS*s.outK)
	out.outGain = s.outside * (b1*outGain1 + b2*g[last])
}

// thomas solves both right-hand sides with the factors of step.
func thomas(last int, inv, up, y, g *[CellsMost]float64) {
	for j := range last {
		y[j+1] += up[j] * y[j]
		g[j+1] += up[j] * g[j]
	}
	y[last] *= inv[last]
	g[last] *= inv[last]
	for j := last - 1; j >= 0; j-- {
		y[j] = y[j]*inv[j] + up[j]*y[j+1]
		g[j] = g[j]*inv[j] + up[j]*g[j+1]
	}
}
