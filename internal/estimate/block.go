package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// The filter's rhythm: samples within a block are averaged. A block is much
// shorter than what moves meanwhile: gas that flows, or gas that stands. A
// jump in pressure ends a block at once.
const (
	blockFlowS  = 0.2
	blockStandS = 1.0
	blockJumpPa = 0.12e5
)

// mean averages what is known.
type mean struct {
	sum float64
	n   int
}

func (m *mean) add(x float64) {
	if !math.IsNaN(x) {
		m.sum += x
		m.n++
	}
}

func (m *mean) close() float64 {
	x := m.sum / float64(m.n) // NaN when nothing was known
	*m = mean{}
	return x
}

// Sample is what the sensors say at one time; what is not known is NaN.
type Sample struct {
	PressurePa      float64 // gauge
	BeadK, AmbientK float64
	SecondK         float64 // of a second gas probe
	SupplyPa        float64 // gauge
	SupplyK         float64
	SkinK           [thermal.PlacesMost]float64
}

// Unread is a Sample of which nothing is known.
func Unread() Sample {
	nan := math.NaN()
	s := Sample{PressurePa: nan, BeadK: nan, SecondK: nan, AmbientK: nan, SupplyPa: nan, SupplyK: nan}
	for i := range s.SkinK {
		s.SkinK[i] = nan
	}
	return s
}

// Block is the means of the samples of one block.
type Block struct {
	TimeS           float64 // session time of its end
	PressurePa      float64 // gauge
	BeadK, AmbientK float64
	SecondK         float64
	SkinK           [thermal.PlacesMost]float64
}

// block gathers samples until a block is full.
type block struct {
	begun   bool
	fromS   float64
	lastS   float64 // of the last sample
	p, g, a mean
	second  mean
	skin    [thermal.PlacesMost]mean
	out     Block
}

// add adds the readings at time t and tells whether a block is complete.
func (b *block) add(t, lengthS float64, s *Sample) bool {
	jump := math.Abs(s.PressurePa-b.out.PressurePa) > blockJumpPa && t >= b.fromS+blockFlowS-1e-6
	if t-b.lastS > gapS {
		// What came before a gap is no part of what comes after it.
		b.p, b.g, b.a, b.second, b.skin = mean{}, mean{}, mean{}, mean{}, [thermal.PlacesMost]mean{}
	}
	b.lastS = t
	b.p.add(s.PressurePa)
	b.g.add(s.BeadK)
	b.second.add(s.SecondK)
	b.a.add(s.AmbientK)
	for i, k := range s.SkinK {
		b.skin[i].add(k)
	}
	if b.begun && !jump && t < b.fromS+lengthS-1e-6 {
		return false
	}
	b.begun, b.fromS = true, t
	b.out = Block{TimeS: t, PressurePa: b.p.close(), BeadK: b.g.close(), AmbientK: b.a.close(), SecondK: b.second.close()}
	for i := range b.skin {
		b.out.SkinK[i] = b.skin[i].close()
	}
	return true
}
