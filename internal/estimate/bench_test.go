package estimate

import (
	"testing"
)

// BenchmarkPredict is one step with every correction, at 8 cells, two
// stations with skin sensors, all parameters free.
func BenchmarkPredict(b *testing.B) {
	o := New(config(8, true))
	o.Start(ambientK, ambientK, 10e5, false)
	b.ReportAllocs()
	for b.Loop() {
		o.Predict(10e5, 10.001e5, ambientK, stepS)
		o.CorrectGas(o.estimate.State.BeadK, stepS)
		o.CorrectSkin(0, o.estimate.State.SkinK[0], stepS)
		o.CorrectSkin(1, o.estimate.State.SkinK[1], stepS)
	}
}

func BenchmarkWalls(b *testing.B) {
	o := New(config(8, true))
	o.Start(ambientK, ambientK, 10e5, false)
	var walls [2]Wall
	b.ReportAllocs()
	for b.Loop() {
		o.Walls(1, walls[:])
	}
}
