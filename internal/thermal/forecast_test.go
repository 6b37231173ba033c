package thermal

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"

	"pgregory.net/rapid"
)

// usual are parameters of light vessels as people read them, with a scatter in
// the parameters' own scale that no more than a few vessels leave. Invented.
var usual = [ParCount]struct{ mean, sigma float64 }{
	ParLnFilm: {30, 0.5}, ParDensity: {0.65, 0.12}, ParBuoyancy: {0.30, 0.08}, ParJet: {30, 3}, ParLnOutside: {14, 0.4},
	ParInflow: {-4, 10}, ParLnBead: {3, 0.6}, ParLnConduct: {1, 0.15}, ParLnHeat: {1, 0.08}, ParLnSkin: {3, 0.7}, ParStem: {0.015, 0.015},
	ParSunShare: {SunShareMean, 0.05}, ParUneven: {0.06, 0.12}, ParBeadLoss: {0.04, 0.04}, ParBeadJet: {0.02, 0.06}, ParFar: {0.05, 0.20}, ParLnMix: {8, 0.5},
}

func usualParams() (p Params) {
	for i, u := range usual {
		p[i] = ParInternal(i, u.mean)
	}
	return p
}

// drawVessel draws a vessel, its parameters, and a state that
// real vessels could be in.
func drawVessel(t *rapid.T) (*Model, Params, State, float64) {
	cells := rapid.SampledFrom([]int{1, CellsLayered}).Draw(t, "cells")
	fluid := rapid.SampledFrom([]Fluid{gas.Ideal(gas.Air), gas.Table(gas.Air), gas.Table(gas.Nitrogen)}).Draw(t, "fluid")
	draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	m := &Model{
		Fluid: fluid, VolumeM3: draw("litres", 0.5, 100) / 1000, AmbientPa: 101325,
		Sides: rapid.IntRange(1, SidesMost).Draw(t, "sides"), Cells: cells,
		ThicknessM: draw("mm", 0.5, 20) / 1000, ConductivityWMK: draw("k", 0.2, 5),
	}
	m.AreaHeatJM2K = 1.5e6 * m.ThicknessM
	area := 6 * math.Pow(m.VolumeM3, 2.0/3)
	var p Params
	for i, u := range usual {
		p[i] = ParInternal(i, u.mean) + u.sigma*draw(ParKey(i), -2, 2)
	}
	if cells == 1 { // as a lag without a law of its own for the film
		p[ParDensity], p[ParBuoyancy], p[ParJet] = 0, 0, 0
	}
	s := m.Uniform(draw("start", 253, 323))
	s.GasK = draw("gas", 253, 340)
	s.FarGasK = s.GasK
	for i := 0; i < m.Sides; i++ {
		m.AreaM2[i] = area * draw("share", 0.2, 2)
		s.OutK[i] = draw("outside", 253, 340)
	}
	m.Round = m.Sides == SidesMost && rapid.Bool().Draw(t, "round")
	m.FarShare = 0 // what its wall takes more, the other takes less, by the mean film alone
	m.Standing = rapid.Bool().Draw(t, "standing")
	m.PlaceCount = rapid.IntRange(0, PlacesMost).Draw(t, "places")
	for i := 0; i < m.PlaceCount; i++ {
		m.Places[i] = Place{Sun: draw("sun", 0, 1), OfLayer: draw("of layer", -1, 1), OfFar: draw("of far", 0, 1)}
	}
	return m, p, s, draw("bar", 1, 60) * 1e5
}

// energyJ is what gas and wall hold.
func energyJ(m *Model, p *Params, s *State, pPa float64) float64 {
	rho := m.Fluid.DensityKgM3(s.GasK, pPa)
	e := rho * m.VolumeM3 * m.Fluid.UJKg(s.GasK, rho)
	c := p.coefficients()
	for i := 0; i < m.Sides; i++ {
		for j := 0; j < m.Cells; j++ {
			e += m.areaM2(&c, i) * m.AreaHeatJM2K * math.Exp(p[ParLnHeat]) / float64(m.Cells) * s.Wall[i][j]
		}
	}
	return e
}

// Energy and mass close over any forecast: it is taken again step by step
// from the points that it showed, and what flowed in and out is added up.
func TestForecastClosesAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, s, pa := drawVessel(t)
		ramp := rapid.Float64Range(-60e5/60, 120e5/60).Draw(t, "ramp")
		target := pa + rapid.Float64Range(0.1e5, 30e5).Draw(t, "rise")
		if ramp < 0 {
			target = math.Max(101325, pa-rapid.Float64Range(0, 40e5).Draw(t, "fall"))
		}
		ambient := rapid.Float64Range(263, 318).Draw(t, "ambient")
		type point struct {
			inS, pPa float64
			s        State
		}
		var points []point
		run := m.Forecast(s, &p, pa, Plan{RampPaS: ramp, TargetPa: target, HorizonS: 900, AmbientK: ambient},
			func(inS, pPa, _ float64, s *State) { points = append(points, point{inS, pPa, *s}) })
		must.Need(t, len(points) >= 3 && run.EndS == points[len(points)-1].inS, "%d points, end at %g s", len(points), run.EndS)
		e0, m0 := energyJ(m, &p, &s, pa), m.MassKg(s.GasK, pa)
		var inJ, throughJ, inKg, throughKg float64
		for i := 1; i < len(points); i++ {
			from, to := points[i-1], points[i]
			state, dt := from.s, to.inS-from.inS
			var f Flow
			if to.inS <= run.RampEndS {
				f = m.StepOpen(&state, &p, from.pPa, to.pPa, ambient, dt)
			} else {
				f = m.StepClosed(&state, &p, from.pPa, 293.15, dt)
			}
			inJ += f.FlowJ - f.OutJ
			throughJ += math.Abs(f.FlowJ) + math.Abs(f.OutJ)
			inKg += f.InKg
			throughKg += math.Abs(f.InKg)
			d := math.Abs(state.GasK - to.s.GasK)
			must.Need(t, d < 1e-5, "at %g s the gas of the forecast is %g K off its own step", to.inS, d)
		}
		scale := math.Abs(e0) + throughJ
		if d := energyJ(m, &p, &run.End, run.EndPa) - e0 - inJ; !(math.Abs(d) < 1e-6*scale) {
			t.Fatalf("energy off by %g J of %g J", d, scale)
		}
		if d := m.MassKg(run.End.GasK, run.EndPa) - m0 - inKg; !(math.Abs(d) < 1e-6*(m0+throughKg)) {
			t.Fatalf("mass off by %g kg of %g kg", d, m0)
		}
		if d := run.MassKg/m.MassKg(run.End.GasK, run.EndPa) - 1; !(math.Abs(d) < 1e-6) {
			t.Fatalf("the mass after the ramp and at the end differ by %g, with the supply shut", d)
		}
	})
}

// Whatever is asked, as long as it is finite, a forecast ends after a bounded
// number of points, all of them finite, with the peak the largest it showed.
func TestForecastWild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, s, pa := drawVessel(t)
		plan := Plan{
			RampPaS:    rapid.SampledFrom([]float64{0, 1e-9, -1e-9, 1, -1e5, 1e3, 1e5, 1e7}).Draw(t, "ramp"),
			TargetPa:   rapid.SampledFrom([]float64{0, 101325, pa, pa + 1, 50e5, 300e5}).Draw(t, "target"),
			StopAfterS: rapid.SampledFrom([]float64{0, 1e-9, 5, 1e9}).Draw(t, "stop"),
			HorizonS:   rapid.SampledFrom([]float64{-1, 0, 1e-9, 1, 600, 86400, 1e12}).Draw(t, "horizon"),
			AmbientK:   rapid.Float64Range(233, 333).Draw(t, "ambient"),
			UntilPeak:  rapid.Bool().Draw(t, "until"),
		}
		if plan.RampPaS < 0 && plan.TargetPa < 101325 {
			plan.TargetPa = 101325
		}
		points, peak := 0, math.Inf(-1)
		run := m.Forecast(s, &p, pa, plan, func(tS, pPa, hot float64, got *State) {
			points++
			peak = math.Max(peak, hot)
			for _, v := range []float64{tS, pPa, hot, got.GasK, got.BeadK, got.Wall[0][0], got.SkinK[0]} {
				must.Need(t, !math.IsNaN(v) && !math.IsInf(v, 0), "point %d is not finite: %v at %v Pa, gas %v", points, tS, pPa, got.GasK)
			}
		})
		must.Need(t, points <= forecastSteps+2, "%d points, the bound is %d", points, forecastSteps)
		must.Need(t, run.PeakK == peak && run.PeakInS <= run.EndS && run.RampEndS <= run.EndS,
			"peak %v (shown %v), in %v s of %v s", run.PeakK, peak, run.PeakInS, run.EndS)
	})
}

// What is not known is not shown as good: with an unknown wall, gas, pressure
// or outside, at any station, the peak is unknown, and the forecast ends.
func TestForecastUnknown(t *testing.T) {
	nan := math.NaN()
	for name, spoil := range map[string]func(*State, *float64){
		"wall of the second station": func(s *State, _ *float64) { s.Wall[1][3] = nan },
		"wall of the first station":  func(s *State, _ *float64) { s.Wall[0][0] = nan },
		"outside":                    func(s *State, _ *float64) { s.OutK[0] = nan },
		"gas":                        func(s *State, _ *float64) { s.GasK = nan },
		"pressure":                   func(_ *State, p *float64) { *p = nan },
	} {
		m := testModel(6)
		m.Fluid = gas.Table(gas.Air)
		m.Sides, m.AreaM2[1] = 2, 0.2
		p := usualParams()
		s, pa := m.Uniform(300), 5e5
		spoil(&s, &pa)
		points := 0
		run := m.Forecast(s, &p, pa, Plan{RampPaS: 1e5, TargetPa: 40e5, HorizonS: 3600, AmbientK: 300, UntilPeak: true},
			func(float64, float64, float64, *State) { points++ })
		must.Be(t, math.IsNaN(run.PeakK), "unknown %s: peak %v, want NaN", name, run.PeakK)
		must.Be(t, points <= forecastSteps+2, "unknown %s: %d points", name, points)
	}
}

// UntilPeak ends early with the very peak that a full look would find, in walls
// of up to 20 mm too, which may warm again after a dip; beside a far end, with a
// peak that no more than what counts as a fall is missed of.
func TestForecastUntilPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, s, pa := drawVessel(t)
		leastK := 1e-9
		if rapid.Bool().Draw(t, "long") {
			m.FarShare, leastK = rapid.Float64Range(0, 0.6).Draw(t, "far"), peakedByK
		}
		plan := Plan{RampPaS: rapid.Float64Range(3e3, 1e5).Draw(t, "ramp"), TargetPa: pa + 20e5, HorizonS: 3000, AmbientK: 293}
		full := m.Forecast(s, &p, pa, plan, nil)
		plan.UntilPeak = true
		early := m.Forecast(s, &p, pa, plan, nil)
		must.Need(t, early.EndS <= full.EndS && math.Abs(early.PeakK-full.PeakK) <= leastK,
			"peak %v until %v s, full look %v until %v s", early.PeakK, early.EndS, full.PeakK, full.EndS)
	})
}

// The forecast's own coarse steps come within 0.3 K of steps ten times finer
// for the peak of the wall.
func TestForecastStepsEnough(t *testing.T) {
	m := testModel(6)
	m.Fluid = gas.Table(gas.Air)
	p := usualParams()
	for _, ramp := range []float64{2e5 / 60, 10e5 / 60, 30e5 / 60, 60e5 / 60} {
		s := m.Uniform(293.15)
		s.OutK[0] = 308
		const p0, target = 101325.0, 41e5
		run := m.Forecast(s, &p, p0, Plan{RampPaS: ramp, TargetPa: target, HorizonS: (target-p0)/ramp + 300, AmbientK: 293.15}, nil)
		fine, pa, peak := s, p0, 0.0
		steps := int((target-p0)/ramp/0.1) + 1
		dt := (target - p0) / ramp / float64(steps)
		for i := 0; i < steps; i++ {
			f := m.StepOpen(&fine, &p, pa, pa+ramp*dt, 293.15, dt)
			pa += ramp * dt
			hot, _ := m.HottestOf(&fine, &p, f.DensityKgM3, f.InflowKgS)
			peak = math.Max(peak, hot)
		}
		for i := 0; i < 3000; i++ {
			f := m.StepClosed(&fine, &p, pa, 293.15, 0.1)
			pa = f.PressurePa
			hot, _ := m.HottestOf(&fine, &p, f.DensityKgM3, 0)
			peak = math.Max(peak, hot)
		}
		must.Near(t, "peak of the wall", run.PeakK, peak, 0.3)
		must.Near(t, "end of the coast", run.End.Wall[0][0], fine.Wall[0][0], 0.3)
		must.Near(t, "pressure at the end", run.EndPa/pa, 1, 2e-3)
	}
}

// A course of legs is the one forecast, cut: two legs at one ramp come to where the
// ramp comes, and a wait before a shut supply is part of the standing.
func TestForecastLegs(t *testing.T) {
	m := testModel(6)
	m.Fluid = gas.Table(gas.Air)
	p := usualParams()
	s := m.Uniform(293.15)
	s.OutK[0] = 308
	const p0, half, target, ramp = 101325.0, 20e5, 41e5, 20e5 / 60
	up := (target - p0) / ramp
	whole := Plan{RampPaS: ramp, TargetPa: target, HorizonS: up + 300, AmbientK: 293.15}
	cut := whole
	cut.Before = []Leg{{RampPaS: ramp, ToPa: half}}
	a, b := m.Forecast(s, &p, p0, whole, nil), m.Forecast(s, &p, p0, cut, nil)
	must.Near(t, "peak", b.PeakK, a.PeakK, 0.1)
	must.Near(t, "end of the ramp", b.RampEndS, a.RampEndS, 1e-9)
	must.Near(t, "pressure at the end", b.EndPa/a.EndPa, 1, 1e-4)

	wait := Plan{Before: []Leg{{ForS: 60}}, HorizonS: 300, AmbientK: 293.15}
	a, b = m.Forecast(a.End, &p, a.EndPa, Plan{HorizonS: 300, AmbientK: 293.15}, nil), m.Forecast(a.End, &p, a.EndPa, wait, nil)
	must.Near(t, "length", b.EndS, a.EndS, 1e-9)
	must.Near(t, "wall after standing", b.End.Wall[0][0], a.End.Wall[0][0], 0.1)

	slower := cut
	slower.RampPaS, slower.HorizonS = ramp/2, 2*up+300
	var last float64
	c := m.Forecast(s, &p, p0, slower, func(inS, pa, _ float64, _ *State) {
		if inS <= (half-p0)/ramp+1e-9 {
			last = pa
		}
	})
	must.Near(t, "pressure at the change", last/half, 1, 1e-9)
	must.Near(t, "end of two ramps", c.RampEndS, (half-p0)/ramp+(target-half)/(ramp/2), 1e-6)
}
