package laminate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// TestSoftening proves what the curve is laid through: 0.75 at the onset, half
// way at the midpoint, all in the cold, the relaxed share in the heat; and that
// it equals the hyperbolic tangent of its source.
func TestSoftening(t *testing.T) {
	s := SofteningOf(327.15, 334.15)
	within(t, "onset", s.Share(327.15), 0.75, 1e-12)
	within(t, "midpoint", s.Share(334.15), (1+relaxedShare)/2, 1e-12)
	within(t, "cold", s.Share(200), 1, 1e-6)
	within(t, "hot", s.Share(450), relaxedShare, 1e-6)
	for tempK := 280.; tempK < 400; tempK += 7 {
		within(t, "tanh", s.Share(tempK), (1+s.RelaxedShare)/2-(1-s.RelaxedShare)/2*math.Tanh(s.SteepnessPerK*(tempK-s.MidpointK)), 1e-12)
	}
}

// TestSofteningWithoutMidpoint proves that a resin of which only the onset is
// known is taken to soften earlier than one whose midpoint lies above, and that
// two temperatures close together make no step.
func TestSofteningWithoutMidpoint(t *testing.T) {
	alone, both := SofteningOf(327, 327), SofteningOf(327, 334)
	for tempK := 300.; tempK < 350; tempK++ {
		must.Be(t, alone.Share(tempK) < both.Share(tempK), "at %g K %g is not below %g", tempK, alone.Share(tempK), both.Share(tempK))
	}
	close := SofteningOf(327, 327.01)
	must.Be(t, close.SteepnessPerK == SofteningOf(327, 331).SteepnessPerK, "steepness %g", close.SteepnessPerK)
}

// TestSofteningFalls proves that it never rises with temperature, stays between
// the relaxed share and 1, and that an unknown temperature stays unknown.
func TestSofteningFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		onset := rapid.Float64Range(290, 450).Draw(t, "onset")
		s := SofteningOf(onset, onset+rapid.Float64Range(0, 30).Draw(t, "width"))
		a := rapid.Float64Range(200, 600).Draw(t, "a")
		b := a + rapid.Float64Range(0, 200).Draw(t, "rise")
		pa, pb := s.Share(a), s.Share(b)
		must.Be(t, pb <= pa && pa <= 1 && pb >= s.RelaxedShare, "%g at %g K, %g at %g K", pa, a, pb, b)
	})
	s := SofteningOf(327, 334)
	must.Be(t, math.IsNaN(s.Share(math.NaN())), "an unknown temperature has a share")
}
