package gas

import (
	"math"
	"sync"
)

// The grid of a table: wider than the range, so that a forecast may stray.
const (
	tableTempLowK   = 150.0
	tableTempHighK  = 500.0
	tableTempStepK  = 10.0
	tableColumns    = 36 // temperatures: 150, 160, …, 500 K
	tableDensityMax = 750.0
	tableStepKgM3   = 12.5
	tableRows       = 61 // densities: 0, 12.5, …, 750 kg/m³
)

// What a table may differ from its equation by, anywhere in the range. The
// tests hold it to this.
const (
	TableErrorZ      = 1e-6 // compressibility factor
	TableErrorUJKg   = 0.03
	TableErrorHJKg   = 0.06
	TableErrorCvJKgK = 0.01
)

// Tabulated gives the properties of an equation of state from a table that is
// interpolated smoothly (continuous with its first derivatives, exact at zero
// density), ten to fifty times as fast; see the TableError constants for how
// close. Beyond 150 to 500 K and 0 to 750 kg/m³ pressure and energy go on
// simply, so that they stay finite and increasing; that is not physics, and
// it lies far beyond the range. It allocates nothing, is never changed once
// built and is safe to share.
type Tabulated struct {
	equation    *EOS
	gasConstant float64
	zr, ur      surface              // residual parts over density
	ideal       [tableColumns]column // ideal part at the temperatures
}

// column holds the ideal part at a temperature; slopes in units of a step.
type column struct{ u0, cv0 float64 }

var tables = [...]func() *Tabulated{
	sync.OnceValue(func() *Tabulated { return buildTable(Equation(Air)) }),
	sync.OnceValue(func() *Tabulated { return buildTable(Equation(Nitrogen)) }),
}

// Table gives the table of a gas; the first call builds it, in a few
// milliseconds.
func Table(s Species) *Tabulated {
	if s == Nitrogen {
		return tables[1]()
	}
	return tables[0]()
}

func buildTable(e *EOS) *Tabulated {
	t := &Tabulated{equation: e, gasConstant: e.SpecificGasConstant()}
	for _, s := range []*surface{&t.zr, &t.ur} {
		s.nodes = make([]node, tableColumns*tableRows)
	}
	var rows [tableRows]densityPart
	for j := range rows {
		e.densityPart(float64(j)*tableStepKgM3/e.densityReducing(), &rows[j])
	}
	var tp tempPart
	for i := range tableColumns {
		tempK := tableTempLowK + float64(i)*tableTempStepK
		e.tempPart(e.tempReducingK/tempK, &tp)
		c := e.idealParts(tempK)
		t.ideal[i] = column{u0: c.u0, cv0: c.cv0 * tableTempStepK}
		for j := range rows {
			r := e.residual(&rows[j], &tp)
			t.setNodes(i*tableRows+j, tempK, float64(j)*tableStepKgM3/e.densityReducing(), &r)
		}
	}
	return t
}

// setNodes fills one node of each surface. The functions are those of
// EOS.addResidual; x is temperature over its step, y density over its step.
func (t *Tabulated) setNodes(at int, tempK, delta float64, r *residual) {
	e := t.equation
	tau := e.tempReducingK / tempK
	x := -tau / tempK * tableTempStepK                // dτ in a step
	y := tableStepKgM3 / e.densityReducing()          // dδ in a step
	scale := 1 / e.densityReducing()                  // of zr
	energy := t.gasConstant * e.tempReducingK * scale // of ur
	t.zr.nodes[at] = node{
		f:   (r.qg + delta*r.q1g) * scale,
		fx:  (r.qg1 + delta*r.q1g1) * scale * x,
		fy:  (2*r.q1g + delta*r.q2g) * scale * y,
		fxy: (2*r.q1g1 + delta*r.q2g1) * scale * x * y,
	}
	t.ur.nodes[at] = node{
		f:   r.qg1 * energy,
		fx:  r.qg2 * energy * x,
		fy:  r.q1g1 * energy * y,
		fxy: r.q1g2 * energy * x * y,
	}
}

// find gives the spot of a temperature and density; ok is false outside the
// grid, where the spot is on its nearest edge.
func find(tempK, rho float64) (p spot, ok bool) {
	x, y := (tempK-tableTempLowK)*(1/tableTempStepK), rho*(1/tableStepKgM3)
	if ok = x >= 0 && x < tableColumns-1 && y >= 0 && y < tableRows-1; !ok {
		x, y = clamp(x, tableColumns-1), clamp(y, tableRows-1)
	}
	i, j := min(int(x), tableColumns-2), min(int(y), tableRows-2)
	return spot{at: i*tableRows + j, x: x - float64(i), y: y - float64(j)}, ok
}

// clamp brings x into 0 to high; NaN gives 0.
func clamp(x, high float64) float64 {
	if !(x > 0) {
		return 0
	}
	return math.Min(x, high)
}

// idealEnergy gives the ideal part's energy and heat capacity.
func (t *Tabulated) idealEnergy(p spot) (u0, cv0 float64) {
	i := p.at / tableRows
	a, b := &t.ideal[i], &t.ideal[i+1]
	u0, cv0 = cubic(p.x, a.u0, a.cv0, b.u0, b.cv0)
	return u0, cv0 * (1 / tableTempStepK)
}
