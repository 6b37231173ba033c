package laminate

import "math"

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

// Gauss–Legendre points and weights on (0, 1) for the lit quarter; eight are
// good to 1e-4 of the curvature over the steepest softening (tested).
var gauss = [8][2]float64{
	{0.019855071751231884, 0.05061426814518813}, {0.10166676129318664, 0.11119051722668724},
	{0.2372337950418355, 0.15685332293894363}, {0.40828267875217511, 0.18134189168918100},
	{0.59171732124782489, 0.18134189168918100}, {0.7627662049581645, 0.15685332293894363},
	{0.89833323870681336, 0.11119051722668724}, {0.98014492824876812, 0.05061426814518813},
}

// lit is where the points lie: cosine and sine of θ = π/2 × point, and the arc
// of both sides of the ring for a radius of 1.
var lit = func() (out [len(gauss)]struct{ cos, arc float64 }) {
	for i, g := range gauss {
		out[i].cos, out[i].arc = math.Cos(math.Pi/2*g[0]), math.Pi*g[1]
	}
	return out
}()

// sunRing is a ring lit from one side: towards the beam the wall goes as the
// cosine from shade to sun, and is as the shade on the far half (sol-air over
// a tube; the sunny station reads the line that faces the sun).
func sunRing(ring *[2 * len(gauss)]place, radiusM float64, sun, shade Side, at func(Side) strip) {
	far := at(shade)
	for i, q := range lit {
		near := at(shade.between(sun, q.cos))
		ring[i] = place{near, radiusM * q.cos, radiusM * q.arc}
		ring[len(lit)+i] = place{far, -radiusM * q.cos, radiusM * q.arc}
	}
}
