package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The table keeps its stated error against the equation over the whole range,
// on a fine net that meets no grid line, and its goal by a wide margin.
func TestTableKeepsItsStatedError(t *testing.T) {
	if TableErrorZ > 2e-5 || TableErrorUJKg > 20 || TableErrorHJKg > 40 {
		t.Fatal("the stated errors are wider than the design allows")
	}
	for _, sp := range bothSpecies {
		e, table := Equation(sp), Table(sp)
		top := e.DensityKgM3(TempLeastK, PressureMostPa)
		for tempK := TempLeastK; tempK <= TempMostK; tempK += 2.137 {
			for rho := 1e-4; rho < top; rho += 3.071 {
				want := e.State(tempK, rho)
				if want.PressurePa > PressureMostPa {
					break
				}
				got := table.State(tempK, rho)
				for _, c := range []struct {
					name           string
					got, want, off float64
				}{
					{"z", got.Z, want.Z, TableErrorZ},
					{"u", got.UJKg, want.UJKg, TableErrorUJKg},
					{"h", got.HJKg, want.HJKg, TableErrorHJKg},
					{"s", got.SJKgK, want.SJKgK, TableErrorSJKgK},
					{"cv", got.CvJKgK, want.CvJKgK, TableErrorCvJKgK},
					{"cp", got.CpJKgK, want.CpJKgK, 5e-5 * want.CpJKgK},
					{"w", got.SoundMS, want.SoundMS, 2e-5 * want.SoundMS},
				} {
					if !(math.Abs(c.got-c.want) <= c.off) {
						t.Fatalf("%s %g K, %g kg/m³: %s %.10g, equation %.10g", sp, tempK, rho, c.name, c.got, c.want)
					}
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
				want, got := e.State(tempK, rho), table.State(tempK, rho)
				if math.Abs(got.Z-want.Z) > 1e-12 || math.Abs(got.UJKg-want.UJKg) > 1e-7 ||
					math.Abs(got.SJKgK-want.SJKgK) > 1e-9 || math.Abs(got.CvJKgK-want.CvJKgK) > 1e-8 ||
					math.Abs(got.CpJKgK-want.CpJKgK) > 1e-8*want.CpJKgK {
					t.Errorf("%s %g K, %g kg/m³:\n got %+v\nwant %+v", sp, tempK, rho, got, want)
				}
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
				"sr": {table.sr.nodes[at], func(c parts) float64 { return c.sr }},
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
		before, after := table.State(tempK-dT, rho-dRho), table.State(tempK+dT, rho+dRho)
		closeTo(t, "p", after.PressurePa, before.PressurePa, 1e-7, 0)
		closeTo(t, "u", after.UJKg, before.UJKg, 1e-7, 1e-2)
		closeTo(t, "cv", after.CvJKgK, before.CvJKgK, 1e-7, 0)
		closeTo(t, "∂p/∂T", after.PressurePaK, before.PressurePaK, 1e-7, 0)
		closeTo(t, "∂p/∂ρ", after.PressurePaKgM3, before.PressurePaKgM3, 1e-7, 0)
	})
}

// Beyond its grid the table stays finite, continuous and increasing, in every
// direction and arbitrarily far; State says that it is outside.
func TestTableBeyondItsGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table(drawSpecies(t))
		tempK := rapid.Float64Range(10, 3000).Draw(t, "T")
		rho := rapid.Float64Range(-5, 3000).Draw(t, "ρ")
		s := table.State(tempK, rho)
		for name, x := range map[string]float64{"p": s.PressurePa, "u": s.UJKg, "h": s.HJKg, "cv": s.CvJKgK,
			"cp": s.CpJKgK, "w": s.SoundMS, "z": s.Z, "µ": s.JouleThomsonKPa} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s = %g", name, x)
			}
		}
		if out := tempK < TempLeastK || tempK > TempMostK || rho <= 0 || rho > 700; out && s.Inside {
			t.Fatal("Inside is true")
		}
		warmer := table.State(tempK+0.5, rho)
		if rho > 0 && warmer.PressurePa <= s.PressurePa || warmer.UJKg <= s.UJKg {
			t.Fatalf("not increasing in temperature:\n%+v\n%+v", s, warmer)
		}
		if tempK >= tableTempLowK {
			if denser := table.PressurePa(tempK, rho+0.5); denser <= s.PressurePa {
				t.Fatalf("pressure not increasing in density: %g, %g", s.PressurePa, denser)
			}
		}
		if found := table.TemperatureFromUK(rho, s.UJKg); math.Abs(found-tempK) > 1e-8*tempK {
			t.Fatalf("T(ρ, u): %g", found)
		}
		if rho > 0 {
			if found := table.TemperatureFromPK(rho, s.PressurePa); math.Abs(found-tempK) > 1e-8*tempK {
				t.Fatalf("T(ρ, p): %g", found)
			}
		}
		if tempK >= tableTempLowK && rho > 0 {
			if found := table.DensityKgM3(tempK, s.PressurePa); math.Abs(found-rho) > 1e-8*rho {
				t.Fatalf("ρ(T, p): %g", found)
			}
		}
	})
}

// Over the rim of the grid pressure and energy are continuous, and over its
// temperatures and zero density their slopes too.
func TestTableRim(t *testing.T) {
	for _, sp := range bothSpecies {
		table := Table(sp)
		for _, at := range [][4]float64{
			{tableTempLowK, 300, 1e-7, 0}, {tableTempHighK, 300, 1e-7, 0},
			{tableTempHighK, 1, 1e-7, 0}, {300, tableDensityMax, 0, 1e-7}, {300, 0, 0, 1e-9},
		} {
			a, b := table.State(at[0]-at[2], at[1]-at[3]), table.State(at[0]+at[2], at[1]+at[3])
			if math.Abs(a.PressurePa-b.PressurePa) > 1e-7*math.Abs(a.PressurePa)+1e-3 || math.Abs(a.UJKg-b.UJKg) > 1e-3 ||
				math.Abs(a.HJKg-b.HJKg) > 1e-2 || math.Abs(a.CvJKgK-b.CvJKgK) > 1e-5 ||
				at[1] != tableDensityMax && math.Abs(a.PressurePaKgM3/b.PressurePaKgM3-1) > 1e-7 {
				t.Errorf("%s at %v:\n%+v\n%+v", sp, at, a, b)
			}
		}
	}
}

// What is not known stays not known: NaN in, NaN out, from every call.
func TestNaNStaysNaN(t *testing.T) {
	nan := math.NaN()
	for _, sp := range bothSpecies {
		for _, f := range []Fluid{Equation(sp), Table(sp), Ideal(sp)} {
			for _, in := range [][2]float64{{nan, 10}, {300, nan}, {nan, nan}} {
				s := f.State(in[0], in[1])
				if !math.IsNaN(s.PressurePa) || !math.IsNaN(f.PressurePa(in[0], in[1])) || s.Inside {
					t.Errorf("%T State(%v): %+v", f, in, s)
				}
				if !math.IsNaN(f.DensityKgM3(in[0], in[1])) || !math.IsNaN(f.TemperatureFromPK(in[0], in[1])) {
					t.Errorf("%T: an inverse of %v is a number", f, in)
				}
				if _, ideal := f.(*PerfectGas); ideal {
					continue // its energy does not hang on the density
				}
				if !math.IsNaN(f.UJKg(in[0], in[1])) || !math.IsNaN(f.HJKg(in[0], in[1])) ||
					!math.IsNaN(f.CvJKgK(in[0], in[1])) || !math.IsNaN(f.TemperatureFromUK(in[0], in[1])) {
					t.Errorf("%T: a property of %v is a number", f, in)
				}
			}
		}
	}
}

// The calls of an inner loop allocate nothing.
func TestInnerCallsDoNotAllocate(t *testing.T) {
	for _, f := range []Fluid{Equation(Air), Table(Air), Ideal(Air)} {
		sum := 0.0
		allocations := testing.AllocsPerRun(100, func() {
			rho := f.DensityKgM3(310, 41e5)
			u := f.UJKg(310, rho)
			sum += f.State(310, rho).CpJKgK + f.PressurePa(310, rho) + f.HJKg(310, rho) + f.CvJKgK(310, rho)
			sum += f.TemperatureFromUK(rho, u) + f.TemperatureFromPK(rho, 41e5)
		})
		if allocations != 0 || math.IsNaN(sum) {
			t.Errorf("%T: %g allocations", f, allocations)
		}
	}
	e, sum := Equation(Nitrogen), 0.0
	if n := testing.AllocsPerRun(100, func() {
		sum += e.TemperatureFromHK(41e5, 3e5) + e.ViscosityPaS(300, 40) + e.ConductivityWMK(300, 40)
	}); n != 0 || math.IsNaN(sum) {
		t.Errorf("%g allocations", n)
	}
}
