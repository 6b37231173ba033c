package laminate

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// place is a strip's place on the ring: z = r cos θ counts towards the sun, and
// the arc that it stands for.
type place struct {
	strip
	zM, arcM float64
}

// shape is what a ring does under its own thrust.
type shape struct {
	strain    float64 // along the axis, mean line
	curvature float64 // 1/m; above 0 the side at z > 0 is the longer one
	bendNM2   float64 // bending stiffness about its own neutral line
}

// balance finds the plane section, ε_x = ε0 + κ z, under a thrust and no
// moment, with a the strips' stiffness and e their free strains:
//
//	∮ a (ε0 + κ z − e) ds = thrust,  ∮ a (ε0 + κ z − e) z ds = 0
//
// The moment is 0 since a closed tube with free ends balances its pressure in
// every section by itself, bent or not.
func balance(ring []place, thrustN float64) shape {
	var ea, es, ei, f, m float64
	for _, p := range ring {
		a := p.stiffnessNM * p.arcM
		ea += a
		es += a * p.zM
		ei += a * p.zM * p.zM
		f += a * p.free
		m += a * p.free * p.zM
	}
	det := ea*ei - es*es
	return shape{
		strain:    ((thrustN+f)*ei - m*es) / det,
		curvature: (m*ea - (thrustN+f)*es) / det,
		bendNM2:   det / ea,
	}
}

// points round the lit quarter: Gauss–Legendre with twelve is good to 1e-3 of
// the curvature that the sides could give, over the steepest softening and the
// warmest side (tested; eight were not quite).
const points = 12

// lit is where the points lie: cosine of θ, and the arc of both sides of the
// ring for a radius of 1.
var lit = func() (out [points]struct{ cos, arc float64 }) {
	var theta, weight [points]float64
	quad.Legendre{}.FixedLocations(theta[:], weight[:], 0, math.Pi/2)
	for i := range out {
		out[i].cos, out[i].arc = math.Cos(theta[i]), 2*weight[i]
	}
	return out
}()

// sunRing is a ring lit from one side: towards the beam the wall goes as the
// cosine from shade to sun, and is as the shade on the far half (sol-air over
// a tube; the sunny station reads the line that faces the sun).
func sunRing(ring *[2 * points]place, radiusM float64, sun, shade Side, at func(Side) strip) {
	far := at(shade)
	for i, q := range lit {
		near := at(shade.between(sun, q.cos))
		ring[i] = place{near, radiusM * q.cos, radiusM * q.arc}
		ring[points+i] = place{far, -radiusM * q.cos, radiusM * q.arc}
	}
}
