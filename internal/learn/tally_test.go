package learn

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wallmodel"
)

// TestTold: whoever waits for the learning hears of its share after every fit,
// rising to all of it.
func TestTold(t *testing.T) {
	v := plover(t)
	fills := three(t, v, pretended{variant: "lag", par: paramsOf(t, "lag", nil), rampBar: 15, toBar: 40, holdS: 60, ambientK: 290, gainK: [2]float64{6, 2}})
	var heard []float64
	must.Do(t, must.Err(Learn(v, fills, Options{Variant: "lag", Told: func(share float64) { heard = append(heard, share) }})))
	must.Need(t, len(heard) == 1+len(fills) && heard[len(heard)-1] > 0.999 && heard[len(heard)-1] < 1.001, "heard %v", heard)
	for i := 1; i < len(heard); i++ {
		must.Be(t, heard[i] > heard[i-1], "heard %v", heard)
	}
	// All variants together come to all of it too; one fill has nothing to leave out.
	for _, n := range []int{1, 3} {
		last := 0.0
		did := tally(func(share float64) { last = share }, wallmodel.Variants(), n)
		for _, r := range wallmodel.Variants() {
			did(fitWork(r))
			for range n {
				if n > 1 {
					did(leftOutWork(r))
				}
			}
		}
		must.Be(t, last > 0.999 && last < 1.001, "%d fills: the whole work comes to %g", n, last)
	}
}
