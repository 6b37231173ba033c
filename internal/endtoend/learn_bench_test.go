package endtoend

import (
	"testing"

	"fillwright/internal/learn"
)

// BenchmarkLearn fits three 7-minute fills at 10 Hz (goal 1 s): one variant with
// its leave-one-out table, and all variants.
func BenchmarkLearn(b *testing.B) {
	v := invent(b, 1)
	var fills []*learn.Fill
	for n := uint64(1); n <= 3; n++ {
		d := v.mild(n)
		d.ventedS, d.rampPaS = 60, float64(v.profile.Fill.Target)/120
		d.holdS = 7*60 - d.ventedS - 120
		fills = append(fills, v.fill("mild", v.record(b, d)))
	}
	for _, c := range []struct{ name, variant string }{{"lag-density", "lag-density"}, {"layered-jet", "layered-jet"}, {"variants", ""}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := learn.Learn(v.profile, fills, learn.Options{Variant: c.variant}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
