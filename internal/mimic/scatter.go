package mimic

import (
	"math"
	"math/rand/v2"

	"fillwright/internal/vessel"
)

// stream makes an independent random source for one purpose, so that a change
// in one part does not shift the numbers that another part draws.
func stream(seed, purpose uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15*(purpose+1)))
}

// The purposes.
const (
	streamVessel uint64 = iota
	streamScene
	streamWeather
	streamValve
	streamSensors
	streamCable
	streamBoard
	streamRough
)

// Scatter is a vessel that differs from its profile as vessels of one make
// differ: geometry by a few per cent, wall by ten, sensors within their class.
// The profile stays what the operator believes.
func Scatter(p *vessel.Profile, seed uint64) Truth {
	t := NewTruth(p)
	r := stream(seed, streamVessel)
	times := func(v *float64, rel float64) { *v *= math.Exp(rel * clipped(r)) }
	times(&t.InnerDiameterM, 0.005)
	times(&t.VolumeM3, 0.006)
	times(&t.ThicknessM, 0.06)
	times(&t.DensityKgM3, 0.02)
	times(&t.SpecificHeatJKgK, 0.06)
	times(&t.ConductivityWMK, 0.15)
	times(&t.AroundWMK, 0.3)
	times(&t.JetShare, 0.3)
	times(&t.Stratification, 0.4)
	t.Absorptance = 0.2 + 0.5*r.Float64()
	t.Upright = r.Float64() < 0.4
	t.AmbientPa *= 1 + 0.008*clipped(r)
	t.Supply.GaugePa = (140 + 130*r.Float64()) * 1e5
	t.Supply.HoseWarmerK = 8 * r.Float64()
	scatterSensors(&t.Sensors, r)
	t.Weather = scatterWeather(r)
	return t
}

func scatterSensors(s *SensorTruth, r *rand.Rand) {
	s.BeadM *= 0.6 + 1.2*r.Float64()
	s.BeadStem *= 2 * r.Float64()
	s.BeadHeight = 0.4 * clipped(r) / 2
	s.SkinLagS *= 0.5 + 1.5*r.Float64()
	s.SkinStem *= 2 * r.Float64()
	for i := range s.OffsetK {
		s.OffsetK[i] = 0.5 * clipped(r) // class 1 of IEC 60584-1 allows 1.5 K
	}
	s.ThermocoupleNV *= 0.5 + 2*r.Float64()
	s.ColdErrorK = 0.25 * clipped(r)
	s.PressureZeroPa = 0.0006 * 100e5 * clipped(r)
	s.PressureSpan = 0.0015 * clipped(r)
	s.PressureNoiseLSB *= 0.6 + r.Float64()
}

// clipped is a normal deviate kept within two sigma.
func clipped(r *rand.Rand) float64 {
	return min(max(r.NormFloat64(), -2), 2)
}
