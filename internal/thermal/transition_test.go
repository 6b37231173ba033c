package thermal

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// A transition is the very step that StepOpen takes, and its derivatives are
// those of a whole step for each element, to 1e-6 K over the difference: what it
// leaves out is not felt, what it takes over is the same.
func TestTransitionIsThatOfWholeSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, s, pa := drawVessel(t)
		m.FarShare = rapid.SampledFrom([]float64{0, 0.3, 0.6}).Draw(t, "far share")
		m.BeadFar = rapid.Bool().Draw(t, "bead at the far end")
		m.Second, m.SecondFar = rapid.Bool().Draw(t, "second probe"), rapid.Bool().Draw(t, "at the far end")
		m.WaterJK, m.WaterAreaM2 = rapid.SampledFrom([]float64{0, 4000}).Draw(t, "water"), 0.01
		s.FarGasK += rapid.Float64Range(-20, 40).Draw(t, "far gas")
		s.ExcessK, s.FarK = rapid.Float64Range(-1, 3).Draw(t, "excess"), rapid.Float64Range(-1, 5).Draw(t, "far")
		s.Supply.PressurePa = rapid.SampledFrom([]float64{0, 200e5}).Draw(t, "supply")
		p2 := pa * rapid.Float64Range(0.97, 1.03).Draw(t, "rise")
		const dtS, ambientK = 0.2, 295
		var free [ParCount]bool
		for i := range free {
			free[i] = true
		}
		b := Estimate{Model: m, State: s, Params: p, Layout: NewLayout(m, [PlacesMost]bool{0: true, 2: m.PlaceCount > 2}, free)}
		l := &b.Layout
		n, rows := l.N, l.AtBias()
		step := func(j int) []float64 {
			s, p, bias, x := s, p, 0.0, make([]float64, n)
			l.Pack(&s, bias, &p, x)
			if j >= 0 {
				x[j] += l.DifferenceStep(j)
			}
			l.Unpack(x, &s, &bias, &p)
			m.StepOpen(&s, &p, pa, p2, ambientK, dtS)
			l.Pack(&s, bias, &p, x)
			return x
		}
		jac := make([]float64, rows*n)
		b.Transition(pa, p2, ambientK, dtS, jac)
		from, got := step(-1), make([]float64, n)
		l.Pack(&b.State, 0, &b.Params, got)
		for i := range got {
			must.Need(t, got[i] == from[i], "element %d comes out as %v, by StepOpen as %v", i, got[i], from[i])
		}
		for j := range n {
			for i, to := range step(j)[:rows] {
				d := jac[j*rows+i]*l.DifferenceStep(j) - (to - from[i])
				must.Need(t, (j == rows || math.Abs(d) < 1e-6) && (j != rows || d == 0), "row %d by element %d of %d is %g K off", i, j, n, d)
			}
		}
	})
}
