package gas

import "testing"

// benchmarkFluid times each call at conditions that change from call to call
// as along a fill. Goals for Table: 40 ns for a property, 150 ns for an inverse.
func benchmarkFluid(b *testing.B, f Fluid) {
	const steps = 64
	var tempK, rho, pressurePa, u [steps]float64
	for i := range tempK {
		tempK[i] = 290 + 0.7*float64(i)
		pressurePa[i] = 1e5 + 6.3e4*float64(i)
		rho[i] = f.DensityKgM3(tempK[i], pressurePa[i])
		u[i] = f.UJKg(tempK[i], rho[i])
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
	run("State", func(i int) float64 { return f.State(tempK[i], rho[i]).CpJKgK })
	run("PressurePa", func(i int) float64 { return f.PressurePa(tempK[i], rho[i]) })
	run("UJKg", func(i int) float64 { return f.UJKg(tempK[i], rho[i]) })
	run("HJKg", func(i int) float64 { return f.HJKg(tempK[i], rho[i]) })
	run("CvJKgK", func(i int) float64 { return f.CvJKgK(tempK[i], rho[i]) })
	run("DensityKgM3", func(i int) float64 { return f.DensityKgM3(tempK[i], pressurePa[i]) })
	run("TemperatureFromUK", func(i int) float64 { return f.TemperatureFromUK(rho[i], u[i]) })
	run("TemperatureFromPK", func(i int) float64 { return f.TemperatureFromPK(rho[i], pressurePa[i]) })
	if near, ok := f.(*Tabulated); ok {
		run("TemperatureFromUNearK", func(i int) float64 { return near.TemperatureFromUNearK(rho[i], u[i], tempK[i]-0.05) })
	}
	if sum == 0 {
		b.Fatal("nothing was computed")
	}
}

func BenchmarkTable(b *testing.B)    { benchmarkFluid(b, Table(Air)) }
func BenchmarkEquation(b *testing.B) { benchmarkFluid(b, Equation(Nitrogen)) }
func BenchmarkIdeal(b *testing.B)    { benchmarkFluid(b, Ideal(Air)) }

// BenchmarkBuildTable times what the first call of Table costs; goal 30 ms.
func BenchmarkBuildTable(b *testing.B) {
	for b.Loop() {
		buildTable(Equation(Nitrogen))
	}
}

func BenchmarkThrottleK(b *testing.B) {
	e := Equation(Nitrogen)
	for b.Loop() {
		if _, err := e.ThrottleK(200e5, 293, 40e5); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTransport(b *testing.B) {
	e := Equation(Nitrogen)
	rho := e.DensityKgM3(300, 40e5)
	b.Run("ViscosityPaS", func(b *testing.B) {
		for b.Loop() {
			e.ViscosityPaS(300, rho)
		}
	})
	b.Run("ConductivityWMK", func(b *testing.B) {
		for b.Loop() {
			e.ConductivityWMK(300, rho)
		}
	})
}
