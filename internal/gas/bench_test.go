package gas

import (
	"testing"

	"fillwright/internal/must"
)

// benchmarkFluid times each call at conditions that change from call to call
// as along a fill. Goals for Table: 40 ns for a property, 150 ns for an inverse.
func benchmarkFluid(b *testing.B, f fluid) {
	const steps = 64
	var tempK, rho, pressurePa [steps]float64
	for i := range tempK {
		tempK[i] = 290 + 0.7*float64(i)
		pressurePa[i] = 1e5 + 6.3e4*float64(i)
		rho[i] = f.DensityKgM3(tempK[i], pressurePa[i])
	}
	sum := 0.0
	run := func(name string, call func(i int) float64) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				sum += call(i & (steps - 1))
				i++
			}
		})
	}
	run("PressurePa", func(i int) float64 { return f.PressurePa(tempK[i], rho[i]) })
	run("UJKg", func(i int) float64 { return f.UJKg(tempK[i], rho[i]) })
	run("HJKg", func(i int) float64 { return f.HJKg(tempK[i], rho[i]) })
	run("CvJKgK", func(i int) float64 { return f.CvJKgK(tempK[i], rho[i]) })
	run("DensityKgM3", func(i int) float64 { return f.DensityKgM3(tempK[i], pressurePa[i]) })
	must.Need(b, sum != 0, "nothing was computed")
}

func BenchmarkTable(b *testing.B)    { benchmarkFluid(b, Table(Air)) }
func BenchmarkEquation(b *testing.B) { benchmarkFluid(b, Equation(Nitrogen)) }

// BenchmarkBuildTable times what the first call of Table costs; goal 30 ms.
func BenchmarkBuildTable(b *testing.B) {
	for b.Loop() {
		buildTable(Equation(Nitrogen))
	}
}
