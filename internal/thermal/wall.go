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
		cell := thickness / float64(n)
		s.link = conductivity / cell
		s.inside = 1 / (1/film + 0.5/s.link)
		s.outside = 1 / (1/outside + 0.5/s.link)
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
var gammaSDIRK = 1 - math.Sqrt2/2

// step takes the slab dtS seconds on from t, for any dtS. Keeping the answer
// linear in the gas temperature lets the gas balance be solved together with
// every station without iterating on the walls.
func (s *wallSolver) step(t *[CellsMost]float64, out *wallRun) {
	n, dtS := s.n, s.dtS
	a := gammaSDIRK * dtS / s.heat
	// Thomas factors of I − γ dt A.
	var lower, inv [CellsMost]float64
	off := -a * s.link
	for j := 0; j < n; j++ {
		d := 1.0
		if j > 0 {
			d += a * s.link
		} else {
			d += a * s.inside
		}
		if j < n-1 {
			d += a * s.link
		} else {
			d += a * s.outside
		}
		if j > 0 {
			lower[j] = off * inv[j-1]
			d -= lower[j] * off
		}
		inv[j] = 1 / d
	}
	var y, z, k1, g1, k2, g2 [CellsMost]float64
	// Stage 1: value and gain at the first stage give its slopes.
	s.slope(t, &z, 1, &k1, &g1)
	thomas(n, off, &lower, &inv, &k1, &g1)
	for j := 0; j < n; j++ {
		y[j] = t[j] + (1-gammaSDIRK)*dtS*k1[j]
		z[j] = (1 - gammaSDIRK) * dtS * g1[j]
	}
	s.slope(&y, &z, 1, &k2, &g2)
	thomas(n, off, &lower, &inv, &k2, &g2)
	b1, b2 := (1-gammaSDIRK)*dtS, gammaSDIRK*dtS
	for j := 0; j < n; j++ {
		out.base[j] = t[j] + b1*k1[j] + b2*k2[j]
		out.gain[j] = b1*g1[j] + b2*g2[j]
	}
	// The same quadrature for the heat through both faces closes the balance.
	g := gammaSDIRK * dtS
	first, last := 0, n-1
	s1, sg1 := t[first]+g*k1[first], g*g1[first]
	s2, sg2 := y[first]+g*k2[first], z[first]+g*g2[first]
	out.heatBase = -s.inside * (b1*s1 + b2*s2)
	out.heatGain = s.inside * (dtS - b1*sg1 - b2*sg2)
	e1, eg1 := t[last]+g*k1[last], g*g1[last]
	e2, eg2 := y[last]+g*k2[last], z[last]+g*g2[last]
	out.outBase = s.outside * (b1*e1 + b2*e2 - dtS*s.outK)
	out.outGain = s.outside * (b1*eg1 + b2*eg2)
}

// slope writes A·T + b for the state y + gasK·z, the part without the gas
// into k and the part that goes with gasK into g.
func (s *wallSolver) slope(y, z *[CellsMost]float64, gas float64, k, g *[CellsMost]float64) {
	n, c := s.n, 1/s.heat
	for j := 0; j < n; j++ {
		var a, b float64
		if j > 0 {
			a += s.link * (y[j-1] - y[j])
			b += s.link * (z[j-1] - z[j])
		} else {
			a -= s.inside * y[j]
			b += s.inside * (gas - z[j])
		}
		if j < n-1 {
			a += s.link * (y[j+1] - y[j])
			b += s.link * (z[j+1] - z[j])
		} else {
			a += s.outside * (s.outK - y[j])
			b -= s.outside * z[j]
		}
		k[j], g[j] = a*c, b*c
	}
}

// thomas solves both right-hand sides with the factors of step.
func thomas(n int, off float64, lower, inv, k, g *[CellsMost]float64) {
	for j := 1; j < n; j++ {
		k[j] -= lower[j] * k[j-1]
		g[j] -= lower[j] * g[j-1]
	}
	k[n-1] *= inv[n-1]
	g[n-1] *= inv[n-1]
	for j := n - 2; j >= 0; j-- {
		k[j] = (k[j] - off*k[j+1]) * inv[j]
		g[j] = (g[j] - off*g[j+1]) * inv[j]
	}
}
