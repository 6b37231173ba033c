package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// Gas lies hot under the sun: an unevenness that fills showed as less than nothing is
// unsure of another day by as much as it lies under that, one above it is not.
func TestUnevennessBelowNothingIsUnsure(t *testing.T) {
	sigma := func(uneven float64) float64 {
		l := learnedExample()
		l.Params[thermal.ParUneven] = uneven
		l.Cov[thermal.ParUneven][thermal.ParUneven] = 0.03 * 0.03
		return math.Sqrt(l.DayCov()[thermal.ParUneven][thermal.ParUneven])
	}
	must.Be(t, sigma(0.2) < 0.04 && sigma(-0.05) > 0.05 && sigma(-0.2) > 0.2, "0.2: ± %.3f, -0.05: ± %.3f, -0.2: ± %.3f", sigma(0.2), sigma(-0.05), sigma(-0.2))
}
