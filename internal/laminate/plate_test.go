package laminate

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

func within(t must.Test, what string, got, want, share float64) {
	must.Be(t, math.Abs(got-want) <= share*math.Abs(want), "%s: %v, want %v", what, got, want)
}

// drawMaterial gives plies from near isotropic to nearly fibres alone.
func drawMaterial(t *rapid.T) Material {
	e1 := rapid.Float64Range(20e9, 300e9).Draw(t, "e1")
	e2 := e1 * math.Exp(rapid.Float64Range(-5, 0).Draw(t, "e2"))
	return Material{"drawn", e1, e2, e2 * rapid.Float64Range(0.2, 0.8).Draw(t, "g"),
		rapid.Float64Range(0.05, 0.4).Draw(t, "nu"), rapid.Float64Range(-2e-6, 10e-6).Draw(t, "a1"), rapid.Float64Range(10e-6, 60e-6).Draw(t, "a2")}
}

// TestTurning proves on random plies that turning keeps the two invariants
// (Tsai & Pagano 1968: Q11 + Q22 + 2 Q12 and Q66 − Q12), that a quarter turn
// swaps the axes, and that the opposite angle changes the sign of the coupling
// alone.
func TestTurning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, a := drawMaterial(t), rapid.Float64Range(-90, 90).Draw(t, "angle")
		flat, q := Ply{m, 0, 1}.Stiffness(), Ply{m, a, 1}.Stiffness()
		opposite, quarter := Ply{m, -a, 1}.Stiffness(), Ply{m, a + 90, 1}.Stiffness()
		sum := func(q Matrix) float64 { return q[0][0] + q[1][1] + 2*q[0][1] }
		within(t, "Q11+Q22+2Q12", sum(q), sum(flat), 1e-12)
		d := (q[2][2] - q[0][1]) - (flat[2][2] - flat[0][1])
		must.Be(t, math.Abs(d) <= 1e-12*m.E1Pa, "Q66 − Q12 moved by %g", d)
		for _, c := range [...][2]float64{{quarter[0][0], q[1][1]}, {quarter[1][1], q[0][0]}, {quarter[0][1], q[0][1]},
			{opposite[0][0], q[0][0]}, {opposite[0][1], q[0][1]}, {opposite[2][2], q[2][2]},
			{opposite[0][2], -q[0][2]}, {opposite[1][2], -q[1][2]}} {
			must.Be(t, math.Abs(c[0]-c[1]) <= 1e-12*m.E1Pa, "%g and %g differ", c[0], c[1])
		}
	})
}

// TestQuasiIsotropic proves that a laminate at 0, 45, 90 and −45° is as stiff
// and expands as much in one direction as in another (Tsai & Hahn).
func TestQuasiIsotropic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, turn := drawMaterial(t), rapid.Float64Range(0, 90).Draw(t, "turn")
		p := NewPlate(stackOf(m, 1e-4, turn, turn+45, turn+90, turn-45, turn-45, turn+90, turn+45, turn))
		c := p.Constants()
		within(t, "E_y", c.EyPa, c.ExPa, 1e-9)
		within(t, "α_y", c.AlphaYPerK, c.AlphaXPerK, 1e-9)
		within(t, "G", c.GxyPa, c.ExPa/(2*(1+c.NuXY)), 1e-9)
	})
}

// TestSymmetric proves that a symmetric stack does not couple stretch with
// bending, and that loads come back from the strains that they cause in any
// stack.
func TestSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-90, 90)
		a, b, m := angle.Draw(t, "a"), angle.Draw(t, "b"), drawMaterial(t)
		even := NewPlate(stackOf(m, 1e-3, a, b, b, a))
		for i := range 3 {
			for j := range 3 {
				must.Be(t, math.Abs(even.B[i][j]) <= 1e-9*m.E1Pa*1e-6, "B[%d][%d] = %g", i, j, even.B[i][j])
			}
		}
		odd := NewPlate(stackOf(m, 1e-3, a, b, 90-a))
		n, mo := Vector{1e5, -3e4, 2e4}, Vector{4, 5, -6}
		strain, curve := odd.Respond(n, mo, 0)
		backN, backM := odd.A.Of(strain).Plus(odd.B.Of(curve)), odd.B.Of(strain).Plus(odd.D.Of(curve))
		for i := range 3 {
			within(t, "N", backN[i], n[i], 1e-6)
			within(t, "M", backM[i], mo[i], 1e-6)
		}
	})
}

// TestThermalOfAlike proves that a stack of one direction expands as its ply
// and does not curl.
func TestThermalOfAlike(t *testing.T) {
	p := NewPlate(stackOf(siGraph, 1e-3, 0, 0, 0))
	strain, curve := p.Respond(Vector{}, Vector{}, 30)
	within(t, "x", strain[0], 30*siGraph.Alpha1PerK, 1e-9)
	within(t, "y", strain[1], 30*siGraph.Alpha2PerK, 1e-9)
	must.Be(t, math.Abs(curve[0])+math.Abs(curve[1])+math.Abs(curve[2]) <= 1e-12, "it curls by %v", curve)
}

// TestMaterialCheck proves that impossible plies are refused by name and that
// the handbook's are not.
func TestMaterialCheck(t *testing.T) {
	for _, m := range Handbook() {
		err := m.Check()
		must.Be(t, err == nil, "%v", err)
	}
	good := handbook[0]
	for _, spoil := range []func(*Material){
		func(m *Material) { m.E1Pa = 0 }, func(m *Material) { m.E2Pa = math.NaN() }, func(m *Material) { m.G12Pa = math.Inf(1) },
		func(m *Material) { m.Nu12 = 4 }, func(m *Material) { m.Nu12 = math.NaN() }, func(m *Material) { m.Alpha1PerK = math.NaN() },
	} {
		m := good
		spoil(&m)
		err := m.Check()
		must.Be(t, err != nil && strings.HasPrefix(err.Error(), `material "carbon-epoxy": `), "%+v: %v", m, err)
	}
}

// inverse solves the six equations by blocks: κ = (D − B A⁻¹ B)⁻¹ (M − B A⁻¹ N).
func (p *Plate) inverse() (axial, coupled, bending Matrix) {
	a := p.A.Inverse()
	ab := a.Times(p.B)
	bending = p.D.Plus(p.B.Times(ab).Scaled(-1)).Inverse()
	return a.Plus(ab.Times(bending).Times(p.B).Times(a)), ab.Times(bending).Scaled(-1), bending
}

// Respond gives the strains of the mid-plane and the curvatures under loads
// and moments per metre of edge and a uniform rise of temperature.
func (p *Plate) Respond(n, m Vector, riseK float64) (strain, curvature Vector) {
	axial, coupled, bending := p.inverse()
	n, m = n.Plus(p.ThermalNPerK.Scaled(riseK)), m.Plus(p.ThermalMPerK.Scaled(riseK))
	strain = axial.Of(n).Plus(coupled.Of(m))
	curvature = coupled.Transposed().Of(n).Plus(bending.Of(m))
	return strain, curvature
}

// Constants are the plate's as if it were one material: in its plane, and in
// bending. For a plate with B ≠ 0 they hold when it is free to curl.
type Constants struct {
	ExPa, EyPa, GxyPa       float64
	NuXY, NuYX              float64
	BendExPa, BendEyPa      float64
	AlphaXPerK, AlphaYPerK  float64
	ShearAlphaPerK, Coupled float64 // thermal shear; A16 as a share of A11
}

// Constants gives the engineering constants (Kaw ch. 4).
func (p *Plate) Constants() Constants {
	h := p.ThicknessM
	a, _, d := p.inverse()
	alpha, _ := p.Respond(Vector{}, Vector{}, 1)
	return Constants{
		ExPa: 1 / (h * a[0][0]), EyPa: 1 / (h * a[1][1]), GxyPa: 1 / (h * a[2][2]),
		NuXY: -a[0][1] / a[0][0], NuYX: -a[0][1] / a[1][1],
		BendExPa: 12 / (h * h * h * d[0][0]), BendEyPa: 12 / (h * h * h * d[1][1]),
		AlphaXPerK: alpha[0], AlphaYPerK: alpha[1], ShearAlphaPerK: alpha[2],
		Coupled: p.A[0][2] / p.A[0][0],
	}
}
