package probe

import (
	"testing"

	"fillwright/internal/vessel"
)

// The budget of a replay of an hour at 50 Hz in 2 s is 11 µs a sample for
// everything; the Bank's share of it should stay below 2 µs.
func BenchmarkSample(b *testing.B) {
	k, s := bank(b, nil)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		s.Values[atGas] += 1000
		if i%1000 == 0 {
			s.Values[atGas] = 0
		}
		k.Sample(s, float64(i)*0.02)
	}
}

func BenchmarkTemperature(b *testing.B) {
	for _, kind := range thermoKinds {
		b.Run(string(kind), func(b *testing.B) {
			for b.Loop() {
				if _, err := TemperatureK(kind, 1.6e-3); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkEMF(b *testing.B) {
	for b.Loop() {
		if _, err := EMF(vessel.KindK, 313.15); err != nil {
			b.Fatal(err)
		}
	}
}
