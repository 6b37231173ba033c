package quantity

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// A number is shown as fine as its band is: of a small vessel a loss of 0.01 ± 0.01
// is no 0.0 ± 0.0.
func TestDecimals(t *testing.T) {
	for band, want := range map[float64]int{12: 1, 0.1: 1, 0.09: 2, 0.01: 2, 0.009: 3, 1e-6: 3, 0: 1, math.Inf(1): 1} {
		got := Decimals(band)
		must.Be(t, got == want, "a band of %g: %d decimals, want %d", band, got, want)
	}
	must.Be(t, Decimals(math.NaN()) == 1, "a band that is not known has no digits")
}
