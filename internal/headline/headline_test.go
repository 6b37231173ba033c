package headline

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// TestMarginIsRoundedDown: what is left is never shown as more than it is.
func TestMarginIsRoundedDown(t *testing.T) {
	for k, want := range map[float64]string{6.79: "6.7", 0.04: "0.0", -0.01: "-0.1", -1.25: "-1.3", 3: "3.0", 2.8: "2.8"} {
		must.Equal(t, Margin(quantity.SystemBarC, k), want, "%g shows", k)
	}
}
