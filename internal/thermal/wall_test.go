package thermal

import (
	"fmt"
	"math"
	"testing"

	"fillwright/internal/must"
)

// pinned is a model whose gas is so much that the wall can't change it: at
// constant pressure its temperature stays where it is.
func pinned(cells int) *Model {
	m := testModel(cells)
	m.VolumeM3 = 1e12
	return m
}

// slabTheta cools the wall of a pinned model from 400 K in gas of 300 K with
// nothing lost outside, and gives θ at the insulated face, the middle and the
// surface.
func slabTheta(cells, steps int, biot, fourier float64) (insulated, middle, surface float64) {
	m := pinned(cells)
	p := testParams(biot*m.ConductivityWMK/m.ThicknessM, 1e-12)
	s := m.Uniform(400)
	s.GasK = 300
	total := fourier * m.AreaHeatJM2K * m.ThicknessM / m.ConductivityWMK // L²/α
	var f Flow
	for i := 0; i < steps; i++ {
		f = m.StepOpen(&s, &p, 1e6, 1e6, 300, total/float64(steps))
	}
	inner, outer := m.Faces(&s, &p, 0, f.DensityKgM3, 0)
	mid := 0.5 * (s.Wall[0][cells/2-1] + s.Wall[0][cells/2])
	return (outer - 300) / 100, (mid - 300) / 100, (inner - 300) / 100
}

// The wall of six and of eight cells follows the exact series of a slab with
// convection on one face, the other insulated (slab_transient_series.csv), and
// the extrapolation of two grids (Richardson) comes closer yet.
func TestSlabSeries(t *testing.T) {
	for _, r := range must.Table(t, "testdata/slab_transient_series.csv", 55) {
		biot, fourier, x := r.Num(t, "Bi"), r.Num(t, "Fo"), r.Num(t, "x_over_L_0insulated_1surface")
		want := r.Num(t, "theta")
		at := func(cells int) float64 {
			a, b, c := slabTheta(cells, 400, biot, fourier)
			return map[float64]float64{0: a, 0.5: b, 1: c}[x]
		}
		name := fmt.Sprintf("Bi %v Fo %v x %v", biot, fourier, x)
		// Second order in the cell: 0.012 of the step for six cells at Bi 10, Fo 0.05.
		must.Near(t, name+", 6 cells", at(6), want, 0.012)
		must.Near(t, name+", 8 cells", at(8), want, 0.007)
		if fourier >= 0.1 {
			must.Near(t, name+", 4 and 8 cells extrapolated", (4*at(8)-at(4))/3, want, 0.002)
		}
	}
}

// Halving the cells quarters the error in space, halving the step quarters
// the error in time: second order in both.
func TestSlabOrder(t *testing.T) {
	want := math.NaN()
	for _, r := range must.Table(t, "testdata/slab_transient_series.csv", 55) {
		if r["Bi"] == "3" && r["Fo"] == "1" && r["x_over_L_0insulated_1surface"] == "0" {
			want = r.Num(t, "theta")
		}
	}
	must.Need(t, !math.IsNaN(want), "the table has no row Bi 3, Fo 1, x 0")
	miss := func(cells int) float64 {
		v, _, _ := slabTheta(cells, 4000, 3, 1)
		return math.Abs(v - want)
	}
	e2, e4, e8 := miss(2), miss(4), miss(8)
	for _, c := range []struct{ coarse, fine float64 }{{e2, e4}, {e4, e8}} {
		order := math.Log2(c.coarse / c.fine)
		must.Be(t, order >= 1.8 && order <= 2.2, "order in cells %.2f, want 2 (errors %.3g %.3g %.3g)", order, e2, e4, e8)
	}
	fine, _, _ := slabTheta(8, 20000, 3, 1)
	late := func(steps int) float64 {
		v, _, _ := slabTheta(8, steps, 3, 1)
		return math.Abs(v - fine)
	}
	for _, steps := range []int{64, 128, 256} {
		order := math.Log2(late(steps) / late(2*steps))
		must.Be(t, order >= 1.8 && order <= 2.2, "order in time %.2f at %d steps, want 2", order, steps)
	}
}

// A step of any length is stable: it goes to the equilibrium without swinging
// past it (L-stability, Alexander 1977).
func TestSlabAnyStep(t *testing.T) {
	for _, cells := range []int{1, 2, 6, 8} {
		m := pinned(cells)
		p := testParams(500, 1e-12)
		for _, dt := range []float64{1e-6, 0.02, 1, 60, 3600, 1e7} {
			s := m.Uniform(400)
			s.GasK = 300
			for i := 0; i < 3; i++ {
				m.StepOpen(&s, &p, 1e6, 1e6, 300, dt)
			}
			for j := 0; j < cells; j++ {
				// L-stable, not monotone: a step far beyond the wall's own time may pass
				// the end by a few per cent and comes back.
				w := s.Wall[0][j]
				must.Be(t, w > 300-25 && w <= 400+1e-9, "%d cells, step %g s: cell %d at %.2f K outside 300..400 K", cells, dt, j, w)
			}
			if dt >= 1e7 {
				must.Near(t, "after a very long step", s.Wall[0][0], 300, 1e-3)
			}
		}
	}
}

// Steady conduction by hand: q = (Tg − Te)/(1/h_i + L/k + 1/h_o); faces at
// Tg − q/h_i and Te + q/h_o; linear between (Fourier).
func TestWallSteady(t *testing.T) {
	const tg, te, hi, ho = 360.0, 290.0, 80.0, 15.0
	for _, cells := range []int{2, 6, 8} {
		m := pinned(cells)
		p := testParams(hi, ho)
		p[ParLnConduct] = math.Log(0.8)
		s := m.Uniform(300)
		s.GasK, s.OutK[0] = tg, te
		var f Flow
		for i := 0; i < 400; i++ {
			f = m.StepOpen(&s, &p, 1e6, 1e6, 300, 20)
		}
		k := 0.8 * m.ConductivityWMK
		q := (tg - te) / (1/hi + m.ThicknessM/k + 1/ho)
		inner, outer := m.Faces(&s, &p, 0, f.DensityKgM3, 0)
		must.Near(t, "inner face", inner, tg-q/hi, 1e-6)
		must.Near(t, "outer face", outer, te+q/ho, 1e-6)
		for j := 0; j < cells; j++ {
			want := tg - q/hi - q/k*m.ThicknessM*(float64(j)+0.5)/float64(cells)
			must.Near(t, fmt.Sprintf("cell %d of %d", j, cells), s.Wall[0][j], want, 1e-6)
		}
		must.Near(t, "heat in per area", f.WallJ/m.AreaM2[0]/20, q, 1e-5)
		must.Near(t, "heat out per area", f.OutJ/m.AreaM2[0]/20, q, 1e-5)
	}
}

// The lag form is the plain first-order lag when gas is pinned: 63.2 % after
// one time constant, and the outside's share as 1/τ_out : 1/τ_in.
func TestLagForm(t *testing.T) {
	m := pinned(1)
	const film = 40.0
	p := testParams(film, 1e-12)
	s := m.Uniform(300)
	s.GasK = 400
	tau := m.AreaHeatJM2K / film
	for i := 0; i < 200; i++ {
		m.StepOpen(&s, &p, 1e6, 1e6, 300, tau/200)
	}
	must.Near(t, "share after one time constant", (s.Wall[0][0]-300)/100, 1-math.Exp(-1), 2e-6)
	p = testParams(film, 10)
	s = m.Uniform(300)
	s.GasK, s.OutK[0] = 400, 300
	rate := (film + 10) / m.AreaHeatJM2K
	var f Flow
	for i := 0; i < 400; i++ {
		f = m.StepOpen(&s, &p, 1e6, 1e6, 300, 2/rate/400)
	}
	must.Near(t, "two films", s.Wall[0][0], 300+100*film/(film+10)*(1-math.Exp(-2)), 1e-3)
	inner, outer := m.Faces(&s, &p, 0, f.DensityKgM3, 0)
	must.Be(t, outer == s.Wall[0][0], "outer face of a lumped wall %v, want the lump's %v", outer, s.Wall[0][0])
	// The heat on its way through stands the inner face q t/(2k) above the mean.
	must.Near(t, "inner face", inner, outer+film*(400-outer)*m.ThicknessM/(2*m.ConductivityWMK), 1e-9)
}

// The density law of the lag form: 1/τ_in = (1/τ₀)(ρ/ρ₀)ⁿ.
func TestLagDensity(t *testing.T) {
	for _, n := range []float64{0, 0.5, 0.8} {
		m := pinned(1)
		p := testParams(40, 1e-12)
		p[ParDensity] = n
		s := m.Uniform(300)
		s.GasK = 400
		pa := 4 * DensityRefKgM3 * m.Fluid.SpecificGasConstant() * 400 // four times the reference
		tau := m.AreaHeatJM2K / 40 * math.Pow(4, -n)
		for i := 0; i < 200; i++ {
			m.StepOpen(&s, &p, pa, pa, 300, tau/200)
		}
		must.Near(t, fmt.Sprintf("n = %v", n), (s.Wall[0][0]-300)/100, 1-math.Exp(-1), 3e-6)
	}
}

// A wall in gas that warms in a straight line follows one time constant
// behind: T = Tg − rτ(1 − e^(−t/τ)) (exact ramp answer of a first-order lag).
func TestLagFormRamp(t *testing.T) {
	m := pinned(1)
	p := testParams(40, 1e-12)
	s := m.Uniform(300)
	tau := m.AreaHeatJM2K / 40
	const rate, steps = 0.5, 600
	dt := 3 * tau / steps
	for i := 0; i < steps; i++ {
		s.GasK = 300 + rate*dt*(float64(i)+0.5) // the mean of the step
		m.StepOpen(&s, &p, 1e6, 1e6, 300, dt)
	}
	must.Near(t, "wall on a ramp", s.Wall[0][0], 300+rate*3*tau-rate*tau*(1-math.Exp(-3)), 1e-3)
}

// fineFill is an independent answer: explicit Euler on n cells through the
// wall and the ideal gas at a given pressure ramp,
//
//	ṁ = (V/(k−1) dp/dt + Q)/(cp T_in),  T = pV/(mR).
func fineFill(m *Model, film, outside, startK, outK, inK, p1, ramp, seconds float64, n int, visit func(t, gasK, inner, outer float64)) {
	const k = 1.4
	gasR := m.Fluid.SpecificGasConstant()
	cp := k / (k - 1) * gasR
	dx, c := m.ThicknessM/float64(n), m.AreaHeatJM2K/float64(n)
	link := m.ConductivityWMK / dx
	in, out := 1/(1/film+0.5/link), 1/(1/outside+0.5/link)
	w, next := make([]float64, n), make([]float64, n)
	for j := range w {
		w[j] = startK
	}
	mass := p1 * m.VolumeM3 / (gasR * startK)
	dt := 0.4 * dx * c / m.ConductivityWMK
	steps := int(seconds/dt) + 1
	dt = seconds / float64(steps)
	for i := 0; i < steps; i++ {
		gasK := (p1 + ramp*dt*float64(i)) * m.VolumeM3 / (mass * gasR)
		q := in * (gasK - w[0])
		for j := range w {
			left, right := q, out*(outK-w[j])
			if j > 0 {
				left = link * (w[j-1] - w[j])
			}
			if j < n-1 {
				right = link * (w[j+1] - w[j])
			}
			next[j] = w[j] + dt/c*(left+right)
		}
		mass += dt * (m.VolumeM3/(k-1)*ramp + q*m.AreaM2[0]) / (cp * inK)
		w, next = next, w
		gasK = (p1 + ramp*dt*float64(i+1)) * m.VolumeM3 / (mass * gasR)
		half := 2 * link
		visit(dt*float64(i+1), gasK, (film*gasK+half*w[0])/(film+half), (outside*outK+half*w[n-1])/(outside+half))
	}
}

// Six cells show the face temperatures of sixty within 0.1 K through a fast
// fill (60 bar/min), both at the observer's steps and in the forecast's.
func TestCellsEnough(t *testing.T) {
	m := testModel(CellsLayered)
	const film, outside, start, outK, inK, p1, ramp, seconds = 120.0, 14.0, 293.15, 310.0, 293.15, 101325.0, 1e5, 40.0
	p := testParams(film, outside)
	type face struct{ gas, inner, outer float64 }
	fine := map[int]face{}
	fineFill(m, film, outside, start, outK, inK, p1, ramp, seconds, 60, func(t, g, i, o float64) {
		if s := int(math.Round(t)); math.Abs(t-float64(s)) < 2e-3 {
			fine[s] = face{g, i, o}
		}
	})
	must.Need(t, len(fine) >= int(seconds), "the fine answer has %d whole seconds", len(fine))
	s := m.Uniform(start)
	s.OutK[0] = outK
	const dt = 0.1
	for i := 1; i <= int(seconds/dt); i++ {
		f := m.StepOpen(&s, &p, p1+ramp*dt*float64(i-1), p1+ramp*dt*float64(i), inK, dt)
		if i%10 != 0 || i < 20 {
			continue
		}
		inner, outer := m.Faces(&s, &p, 0, f.DensityKgM3, f.InflowKgS)
		want := fine[i/10]
		must.Near(t, fmt.Sprintf("gas at %d s", i/10), s.GasK, want.gas, 0.2)
		must.Near(t, fmt.Sprintf("inner face at %d s", i/10), inner, want.inner, 0.1)
		must.Near(t, fmt.Sprintf("outer face at %d s", i/10), outer, want.outer, 0.1)
	}
	s = m.Uniform(start)
	s.OutK[0] = outK
	end := m.Forecast(s, &p, p1, Plan{RampPaS: ramp, TargetPa: p1 + ramp*seconds, HorizonS: seconds, AmbientK: inK}, nil)
	inner, _ := m.Faces(&end.End, &p, 0, m.Fluid.DensityKgM3(end.End.GasK, end.EndPa), 0)
	must.Near(t, "inner face at the forecast's steps", inner, fine[int(seconds)].inner, 0.2)
	must.Near(t, "peak at the forecast's steps", end.PeakK, fine[int(seconds)].inner, 0.2)
}
