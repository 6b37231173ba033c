package probe

import (
	"math"

	"fillwright/internal/vessel"
)

// A reading speaks for another type when it is far off on its own curve and
// fits on the other's (common practice, no source).
const (
	likelyOffK  = 2.5 // off by at least so much on its own curve
	likelyFitK  = 1.0 // and by no more than this on the other
	likelyShare = 0.25
)

// LikelyKind finds another thermocouple type whose curve makes sense of an
// emf: volts as the meter saw it with its terminals at coldK, while the
// junction truly was at trueK. Not ok when the reading is good on its own
// type's curve, or fits no other. Near the cold junction nothing can be told.
func LikelyKind(kind vessel.Kind, volts, coldK, trueK float64) (other vessel.Kind, ok bool) {
	own, err := JunctionK(kind, volts, coldK)
	if err != nil || !(math.Abs(own-trueK) > likelyOffK) {
		return "", false
	}
	best := math.Min(likelyFitK, likelyShare*math.Abs(own-trueK))
	for _, k := range []vessel.Kind{vessel.KindK, vessel.KindJ, vessel.KindT, vessel.KindN, vessel.KindE} {
		if k == kind {
			continue
		}
		if t, err := JunctionK(k, volts, coldK); err == nil && math.Abs(t-trueK) < best {
			other, best = k, math.Abs(t-trueK)
		}
	}
	return other, other != ""
}
