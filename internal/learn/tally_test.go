package learn

import (
	"fillwright/internal/wallmodel"
	"testing"
)

// TestTold: whoever waits for the learning hears of its share after every fit,
// rising to all of it.
func TestTold(t *testing.T) {
	v := plover(t)
	fills := three(t, v, pretended{variant: "lag", par: paramsOf(t, "lag", nil), rampBar: 15, toBar: 40, holdS: 60, ambientK: 290, gainK: [2]float64{6, 2}})
	var heard []float64
	if _, err := Learn(v, fills, Options{Variant: "lag", Told: func(share float64) { heard = append(heard, share) }}); err != nil {
		t.Fatal(err)
	}
	if len(heard) != 1+len(fills) || !(heard[len(heard)-1] > 0.999 && heard[len(heard)-1] < 1.001) {
		t.Fatalf("heard %v", heard)
	}
	for i := 1; i < len(heard); i++ {
		if !(heard[i] > heard[i-1]) {
			t.Errorf("heard %v", heard)
		}
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
		if !(last > 0.999 && last < 1.001) {
			t.Errorf("%d fills: the whole work comes to %g", n, last)
		}
	}
}
