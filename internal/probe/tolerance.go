package probe

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
)

// tolerance is a row of IEC 60584-1: the larger of fixedK and share × |t|,
// t in °C, from leastC to mostC.
type tolerance struct {
	kind          vessel.Kind
	class         int
	leastC, mostC float64
	fixedK, share float64
}

// IEC 60584-1:2013, tolerance classes with the reference junction at 0 °C;
// read in two public tables that agree (N class 3 in one).
var tolerances = []tolerance{
	{vessel.KindK, 1, -40, 1000, 1.5, 0.004},
	{vessel.KindK, 2, -40, 1200, 2.5, 0.0075},
	{vessel.KindK, 3, -200, 40, 2.5, 0.015},
	{vessel.KindN, 1, -40, 1000, 1.5, 0.004},
	{vessel.KindN, 2, -40, 1200, 2.5, 0.0075},
	{vessel.KindN, 3, -200, 40, 2.5, 0.015},
	{vessel.KindT, 1, -40, 350, 0.5, 0.004},
	{vessel.KindT, 2, -40, 350, 1.0, 0.0075},
	{vessel.KindT, 3, -200, 40, 1.0, 0.015},
	{vessel.KindJ, 1, -40, 750, 1.5, 0.004},
	{vessel.KindJ, 2, -40, 750, 2.5, 0.0075},
	{vessel.KindE, 1, -40, 800, 1.5, 0.004},
	{vessel.KindE, 2, -40, 900, 2.5, 0.0075},
	{vessel.KindE, 3, -200, 40, 2.5, 0.015},
}

// Tolerance is how far a new thermocouple wire of an IEC 60584-1 class (1, 2
// or 3) may be off at tempK, in kelvin either way. The cold junction and the
// meter come on top. An error says which classes the letter has and where.
func Tolerance(kind vessel.Kind, tempK float64, class int) (differenceK float64, err error) {
	t := tempK - zeroCK
	for _, r := range tolerances {
		if r.kind != kind || r.class != class {
			continue
		}
		if !within(t, r.leastC, r.mostC) {
			return math.NaN(), outOfRange(kind, t, r.leastC, r.mostC, "°C")
		}
		return math.Max(r.fixedK, r.share*math.Abs(t)), nil
	}
	return math.NaN(), fmt.Errorf("type %q has no tolerance class %d in IEC 60584-1; expected K, N, T or E with class 1 to 3, or J with 1 or 2", kind, class)
}
