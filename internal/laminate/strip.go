package laminate

import "math"

// Side is the wall's temperature at one place of the circumference, taken as
// straight from the inner to the outer face.
type Side struct{ InnerK, OuterK float64 }

// MeanK is the wall's mean.
func (s Side) MeanK() float64 { return (s.InnerK + s.OuterK) / 2 }

// between is the side a share of the way from s to t.
func (s Side) between(t Side, share float64) Side {
	return Side{s.InnerK + share*(t.InnerK-s.InnerK), s.OuterK + share*(t.OuterK-s.OuterK)}
}

// warmer is the side so much warmer throughout.
func (s Side) warmer(k float64) Side { return Side{s.InnerK + k, s.OuterK + k} }

// layer is a Layer made ready: the means of its directions' fourth powers, and
// where it lies in the wall, 0 inside to 1 outside.
type layer struct {
	Material
	thicknessM, depth float64
	c4, s4, cs, c2    float64
	nu12nu21          float64 // with nothing softened
}

// stack makes layers ready, with pairs turned by so many degrees.
func stack(layers []Layer, turnDeg float64) []layer {
	total, below := 0.0, 0.0
	for _, l := range layers {
		total += l.ThicknessM
	}
	out := make([]layer, len(layers))
	for i, l := range layers {
		if l.Lay == Pair {
			l.AngleDeg += turnDeg
		}
		r := layer{Material: l.Material, thicknessM: l.ThicknessM, depth: (below + l.ThicknessM/2) / total,
			nu12nu21: l.Nu12 * l.Nu12 * l.E2Pa / l.E1Pa}
		for _, a := range l.Directions() {
			s, c := math.Sincos(a * math.Pi / 180)
			n := float64(len(l.Directions()))
			r.c4, r.s4, r.cs, r.c2 = r.c4+c*c*c*c/n, r.s4+s*s*s*s/n, r.cs+c*c*s*s/n, r.c2+c*c/n
		}
		out[i], below = r, below+l.ThicknessM
	}
	return out
}

// strip is a strip of wall along the tube: N_x = stiffness (ε_x − free), where
// free is the axial strain that it would take by itself.
type strip struct{ stiffnessNM, free float64 }

// wall gives the strip at one place of the circumference under a hoop load.
// Round the tube a closed ring neither shears nor curls, so only the membrane
// stiffness A of balanced layers counts, and the order of the layers only for
// how warm each is. The hoop strain is free:
//
//	N_x = (A11 − A12²/A22) ε_x + (A12/A22)(N_y + T_y) − T_x
//
// with T the thermal loads of the rise over refK.
func wall(layers []layer, curve Softening, s Side, refK, hoopNM, expansion float64) strip {
	var a11, a12, a22, tx, ty float64
	for i := range layers {
		l := &layers[i]
		tempK := s.InnerK + l.depth*(s.OuterK-s.InnerK)
		share := curve.Share(tempK)
		over := 1 / (1 - l.nu12nu21*share)
		q11, q22, q66 := l.E1Pa*over, l.E2Pa*share*over, l.G12Pa*share
		q12 := l.Nu12 * q22
		cross, t := 2*(q12+2*q66)*l.cs, l.thicknessM
		a11 += t * (q11*l.c4 + cross + q22*l.s4)
		a22 += t * (q11*l.s4 + cross + q22*l.c4)
		a12 += t * ((q11+q22-4*q66)*l.cs + q12*(l.c4+l.s4))
		rise := t * expansion * (tempK - refK)
		n1, n2 := rise*(q11*l.Alpha1PerK+q12*l.Alpha2PerK), rise*(q12*l.Alpha1PerK+q22*l.Alpha2PerK)
		tx += n1*l.c2 + n2*(1-l.c2)
		ty += n1*(1-l.c2) + n2*l.c2
	}
	stiff := a11 - a12*a12/a22
	return strip{stiff, (tx - a12/a22*(hoopNM+ty)) / stiff}
}
