package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// The table keeps its stated error against the equation over the whole range,
// on a fine net that meets no grid line, and its goal by a wide margin.
func TestTableKeepsItsStatedError(t *testing.T) {
	must.Need(t, TableErrorZ <= 2e-5 && TableErrorUJKg <= 20 && TableErrorHJKg <= 40, "the stated errors are wider than the design allows")
	for _, sp := range bothSpecies {
		e, table := Equation(sp), Table(sp)
		top := e.DensityKgM3(TempLeastK, PressureMostPa)
		for tempK := TempLeastK; tempK <= TempMostK; tempK += 2.137 {
			for rho := 1e-4; rho < top; rho += 3.071 {
				want := e.State(tempK, rho)
				if want.PressurePa > PressureMostPa {
					break
				}
				for _, c := range []struct {
					name           string
					got, want, off float64
				}{
					{"z", table.PressurePa(tempK, rho) / (rho * table.SpecificGasConstant() * tempK), want.Z, TableErrorZ},
					{"u", table.UJKg(tempK, rho), want.UJKg, TableErrorUJKg},
					{"h", table.HJKg(tempK, rho), want.HJKg, TableErrorHJKg},
					{"cv", table.CvJKgK(tempK, rho), want.CvJKgK, TableErrorCvJKgK},
				} {
					must.Need(t, math.Abs(c.got-c.want) <= c.off,
						"%s %g K, %g kg/m³: %s %.10g, equation %.10g", sp, tempK, rho, c.name, c.got, c.want)
				}
			}
		}
	}
}

// At the nodes the table is the equation.
func TestTableIsExactAtNodes(t *testing.T) {
	for _, sp := range bothSpecies {
		e, table := Equation(sp), Table(sp)
		for tempK := tableTempLowK; tempK <= tableTempHighK; tempK += 3 * tableTempStepK {
			for rho := tableStepKgM3; rho <= tableDensityMax; rho += 5 * tableStepKgM3 {
				want, p, u, cv := e.State(tempK, rho), table.PressurePa(tempK, rho), table.UJKg(tempK, rho), table.CvJKgK(tempK, rho)
				must.Be(t, math.Abs(p/want.PressurePa-1) <= 1e-12 && math.Abs(u-want.UJKg) <= 1e-7 && math.Abs(cv-want.CvJKgK) <= 1e-8,
					"%s %g K, %g kg/m³: %g Pa, %g J/kg, %g J/kgK, want %+v", sp, tempK, rho, p, u, cv, want)
			}
		}
	}
}

// The slopes and the cross slope at the nodes are those of the equation, by
// finite differences.
func TestNodeSlopes(t *testing.T) {
	const h = 1e-3 // of a grid step
	for _, sp := range bothSpecies {
		e, table := Equation(sp), Table(sp)
		for at := tableRows + 1; at < len(table.zr.nodes)-tableRows; at += 37 {
			part := func(x, y float64) parts {
				return e.parts(tableTempLowK+tableTempStepK*(float64(at/tableRows)+x), tableStepKgM3*(float64(at%tableRows)+y))
			}
			for name, c := range map[string]struct {
				got node
				f   func(c parts) float64
			}{
				"zr": {table.zr.nodes[at], func(c parts) float64 { return c.zr }},
				"ur": {table.ur.nodes[at], func(c parts) float64 { return c.ur }},
			} {
				f := func(x, y float64) float64 { return c.f(part(x*h, y*h)) }
				want := node{
					f:   f(0, 0),
					fx:  (f(1, 0) - f(-1, 0)) / (2 * h),
					fy:  (f(0, 1) - f(0, -1)) / (2 * h),
					fxy: (f(1, 1) - f(1, -1) - f(-1, 1) + f(-1, -1)) / (4 * h * h),
				}
				scale := math.Abs(want.fx) + math.Abs(want.fy)
				if math.Abs(c.got.f-want.f) > 1e-12*math.Abs(want.f) || math.Abs(c.got.fx-want.fx) > 1e-5*scale ||
					math.Abs(c.got.fy-want.fy) > 1e-5*scale || math.Abs(c.got.fxy-want.fxy) > 1e-4*scale {
					t.Errorf("%s %s node %d: %+v, expected %+v", sp, name, at, c.got, want)
				}
			}
		}
	}
}

// Values and slopes go smoothly over every line of the grid, so that Newton's
// method and integrators meet no kink.
func TestTableIsSmoothOverGridLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table(drawSpecies(t))
		tempK := rapid.Float64Range(tableTempLowK+1, tableTempHighK-1).Draw(t, "T")
		rho := rapid.Float64Range(1, tableDensityMax-1).Draw(t, "ρ")
		const step = 1e-9
		dT, dRho := 0.0, 0.0
		if rapid.Bool().Draw(t, "temperature line") {
			tempK, dT = tableTempStepK*math.Round(tempK/tableTempStepK), tempK*step
		} else {
			rho, dRho = tableStepKgM3*math.Max(1, math.Round(rho/tableStepKgM3)), rho*step
		}
		if tempK <= tableTempLowK || tempK >= tableTempHighK || rho >= tableDensityMax {
			return // the rim: see the next test
		}
		sides := func(f func(tempK, rho float64) float64) (after, before float64) {
			return f(tempK+dT, rho+dRho), f(tempK-dT, rho-dRho)
		}
		slope := func(s *surface, along func(*surface, spot) (float64, float64)) func(tempK, rho float64) float64 {
			return func(tempK, rho float64) float64 {
				p, _ := find(tempK, rho)
				_, slope := along(s, p)
				return slope
			}
		}
		for _, c := range []struct {
			what               string
			f                  func(tempK, rho float64) float64
			relative, absolute float64
		}{
			{"p", table.PressurePa, 1e-7, 0}, {"u", table.UJKg, 1e-7, 1e-2}, {"cv", table.CvJKgK, 1e-7, 0},
			{"∂z/∂T", slope(&table.zr, (*surface).alongX), 1e-5, 1e-12}, {"∂z/∂ρ", slope(&table.zr, (*surface).alongY), 1e-5, 1e-12},
		} {
			after, before := sides(c.f)
			closeTo(t, c.what, after, before, c.relative, c.absolute)
		}
	})
}

// Beyond its grid the table stays finite, continuous and increasing, in every
// direction and arbitrarily far.
func TestTableBeyondItsGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table(drawSpecies(t))
		tempK := rapid.Float64Range(10, 3000).Draw(t, "T")
		rho := rapid.Float64Range(-5, 3000).Draw(t, "ρ")
		p, u := table.PressurePa(tempK, rho), table.UJKg(tempK, rho)
		for name, x := range map[string]float64{"p": p, "u": u, "h": table.HJKg(tempK, rho), "cv": table.CvJKgK(tempK, rho)} {
			must.Need(t, !math.IsNaN(x) && !math.IsInf(x, 0), "%s = %g", name, x)
		}
		must.Need(t, (rho <= 0 || table.PressurePa(tempK+0.5, rho) > p) && table.UJKg(tempK+0.5, rho) > u,
			"not increasing in temperature from %g Pa, %g J/kg", p, u)
		if tempK >= tableTempLowK {
			denser := table.PressurePa(tempK, rho+0.5)
			must.Need(t, denser > p, "pressure not increasing in density: %g, %g", p, denser)
		}
		if tempK >= tableTempLowK && rho > 0 {
			found := table.DensityKgM3(tempK, p)
			must.Need(t, math.Abs(found-rho) <= 1e-8*rho, "ρ(T, p): %g", found)
		}
	})
}

// Over the rim of the grid pressure and energies are continuous.
func TestTableRim(t *testing.T) {
	for _, sp := range bothSpecies {
		table := Table(sp)
		for _, at := range [][4]float64{
			{tableTempLowK, 300, 1e-7, 0}, {tableTempHighK, 300, 1e-7, 0},
			{tableTempHighK, 1, 1e-7, 0}, {300, tableDensityMax, 0, 1e-7}, {300, 0, 0, 1e-9},
		} {
			for name, f := range map[string]func(tempK, rho float64) float64{"p": table.PressurePa, "u": table.UJKg, "h": table.HJKg, "cv": table.CvJKgK} {
				a, b := f(at[0]-at[2], at[1]-at[3]), f(at[0]+at[2], at[1]+at[3])
				off := map[string]float64{"p": 1e-7*math.Abs(a) + 1e-3, "u": 1e-3, "h": 1e-2, "cv": 1e-5}[name]
				must.Be(t, math.Abs(a-b) <= off, "%s at %v: %s %g and %g", sp, at, name, a, b)
			}
		}
	}
}

// What is not known stays not known: NaN in, NaN out, from every call.
func TestNaNStaysNaN(t *testing.T) {
	nan := math.NaN()
	for _, sp := range bothSpecies {
		for _, f := range []fluid{Equation(sp), Table(sp), Ideal(sp)} {
			for _, in := range [][2]float64{{nan, 10}, {300, nan}, {nan, nan}} {
				must.Be(t, math.IsNaN(f.PressurePa(in[0], in[1])) && math.IsNaN(f.DensityKgM3(in[0], in[1])),
					"%T: pressure or density of %v is a number", f, in)
				if _, ideal := f.(*PerfectGas); ideal {
					continue // its energy does not hang on the density
				}
				must.Be(t, math.IsNaN(f.UJKg(in[0], in[1])) && math.IsNaN(f.HJKg(in[0], in[1])) && math.IsNaN(f.CvJKgK(in[0], in[1])),
					"%T: a property of %v is a number", f, in)
			}
		}
	}
}

// The calls of an inner loop allocate nothing.
func TestInnerCallsDoNotAllocate(t *testing.T) {
	for _, f := range []fluid{Equation(Air), Table(Air)} {
		sum := 0.0
		allocations := testing.AllocsPerRun(100, func() {
			rho := f.DensityKgM3(310, 41e5)
			sum += f.PressurePa(310, rho) + f.UJKg(310, rho) + f.HJKg(310, rho) + f.CvJKgK(310, rho)
		})
		must.Be(t, allocations == 0 && !math.IsNaN(sum), "%T: %g allocations", f, allocations)
	}
}
