package thermal

import (
	"fmt"
	"testing"

	"fillwright/internal/gas"
)

// benchVessel is a real-gas vessel of ten litres with two stations.
func benchVessel(cells int) (*Model, Params, State) {
	m := testModel(cells)
	m.Fluid = gas.Table(gas.Air)
	m.Sides, m.AreaM2[0], m.AreaM2[1] = 2, 0.22, 0.22
	s := m.Uniform(300)
	s.OutK[0] = 315
	return m, usualParams(), s
}

func BenchmarkStepOpen(b *testing.B) {
	for _, cells := range []int{1, CellsLayered, CellsMost} {
		b.Run(fmt.Sprintf("cells=%d", cells), func(b *testing.B) {
			m, p, start := benchVessel(cells)
			b.ReportAllocs()
			for b.Loop() {
				s := start
				m.StepOpen(&s, &p, 10e5, 10.01e5, 300, 0.02)
			}
		})
	}
}

// BenchmarkForecast is one look ahead: a fill to 40 bar and its peak.
func BenchmarkForecast(b *testing.B) {
	for _, cells := range []int{1, CellsLayered, CellsMost} {
		b.Run(fmt.Sprintf("cells=%d", cells), func(b *testing.B) {
			m, p, s := benchVessel(cells)
			b.ReportAllocs()
			for b.Loop() {
				m.Forecast(s, &p, 5e5, Plan{RampPaS: 40e3, TargetPa: 41e5, HorizonS: 900, AmbientK: 300, UntilPeak: true}, nil)
			}
		})
	}
}

// BenchmarkInletK is one throttle along a fill, started from the one before.
func BenchmarkInletK(b *testing.B) {
	m, _, s := benchVessel(1)
	s.Supply.PressurePa = 200e5
	p := 1e5
	b.ReportAllocs()
	for b.Loop() {
		if p += 2e3; p > 40e5 {
			p = 1e5
		}
		m.InletK(&s, p, 293.15)
	}
}
