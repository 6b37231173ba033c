package laminate

import "math"

// Ply is one direction of fibre in a plate.
type Ply struct {
	Material
	AngleDeg   float64
	ThicknessM float64
}

// Stiffness is Q̄, the ply's stiffness in the plate's axes, by the fourth
// powers of sine and cosine (Tsai & Hahn; Kaw ch. 2).
func (p Ply) Stiffness() Matrix {
	q := p.Material.Stiffness()
	s, c := math.Sincos(p.AngleDeg * math.Pi / 180)
	c2, s2 := c*c, s*s
	c4, s4, cs := c2*c2, s2*s2, c2*s2
	u, v, w := q[0][0], q[0][1], q[1][1]
	g := q[2][2]
	q12 := (u+w-4*g)*cs + v*(c4+s4)
	q16 := (u-v-2*g)*c2*c*s - (w-v-2*g)*c*s*s2
	q26 := (u-v-2*g)*c*s*s2 - (w-v-2*g)*c2*c*s
	return Matrix{
		{u*c4 + 2*(v+2*g)*cs + w*s4, q12, q16},
		{q12, u*s4 + 2*(v+2*g)*cs + w*c4, q26},
		{q16, q26, (u+w-2*v-2*g)*cs + g*(c4+s4)},
	}
}

// Expansion is the ply's free thermal strain per kelvin in the plate's axes.
func (p Ply) Expansion() Vector {
	s, c := math.Sincos(p.AngleDeg * math.Pi / 180)
	a, b := p.Alpha1PerK, p.Alpha2PerK
	return Vector{a*c*c + b*s*s, a*s*s + b*c*c, 2 * c * s * (a - b)}
}

// Plate is a stack of plies as a whole: loads per metre of edge N = A ε + B κ,
// moments M = B ε + D κ (Jones ch. 4), and the thermal loads per kelvin.
type Plate struct {
	A, B, D        Matrix // N/m, N, N m
	ThermalNPerK   Vector // N/m per K
	ThermalMPerK   Vector // N per K
	ThicknessM     float64
	axial, coupled Matrix // of the inverse
	bending        Matrix
}

// NewPlate stacks plies from z = −h/2 upwards.
func NewPlate(plies []Ply) Plate {
	var p Plate
	for _, ply := range plies {
		p.ThicknessM += ply.ThicknessM
	}
	z := -p.ThicknessM / 2
	for _, ply := range plies {
		q, top := ply.Stiffness(), z+ply.ThicknessM
		n := q.Of(ply.Expansion())
		first, second, third := top-z, (top*top-z*z)/2, (top*top*top-z*z*z)/3
		p.A, p.B, p.D = p.A.Plus(q.Scaled(first)), p.B.Plus(q.Scaled(second)), p.D.Plus(q.Scaled(third))
		p.ThermalNPerK, p.ThermalMPerK = p.ThermalNPerK.Plus(n.Scaled(first)), p.ThermalMPerK.Plus(n.Scaled(second))
		z = top
	}
	p.invert()
	return p
}

// invert solves the six equations by blocks: κ = (D − B A⁻¹ B)⁻¹ (M − B A⁻¹ N).
func (p *Plate) invert() {
	a := p.A.Inverse()
	ab := a.Times(p.B)
	p.bending = p.D.Plus(p.B.Times(ab).Scaled(-1)).Inverse()
	p.coupled = ab.Times(p.bending).Scaled(-1)
	p.axial = a.Plus(ab.Times(p.bending).Times(p.B).Times(a))
}

// Respond gives the strains of the mid-plane and the curvatures under loads
// and moments per metre of edge and a uniform rise of temperature.
func (p *Plate) Respond(n, m Vector, riseK float64) (strain, curvature Vector) {
	n, m = n.Plus(p.ThermalNPerK.Scaled(riseK)), m.Plus(p.ThermalMPerK.Scaled(riseK))
	strain = p.axial.Of(n).Plus(p.coupled.Of(m))
	curvature = p.coupled.Transposed().Of(n).Plus(p.bending.Of(m))
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
	h, a, d := p.ThicknessM, &p.axial, &p.bending
	alpha, _ := p.Respond(Vector{}, Vector{}, 1)
	return Constants{
		ExPa: 1 / (h * a[0][0]), EyPa: 1 / (h * a[1][1]), GxyPa: 1 / (h * a[2][2]),
		NuXY: -a[0][1] / a[0][0], NuYX: -a[0][1] / a[1][1],
		BendExPa: 12 / (h * h * h * d[0][0]), BendEyPa: 12 / (h * h * h * d[1][1]),
		AlphaXPerK: alpha[0], AlphaYPerK: alpha[1], ShearAlphaPerK: alpha[2],
		Coupled: p.A[0][2] / p.A[0][0],
	}
}
