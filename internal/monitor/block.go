package monitor

import (
	"math"

	"fillwright/internal/vessel"
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

// reading is the means of one block.
type reading struct {
	timeS      float64
	pressurePa float64
	beadK      float64
	ambientK   float64
	skinK      [vessel.StationsMost]float64
}

// block gathers samples until a block is full.
type block struct {
	begun   bool
	fromS   float64
	lastS   float64 // of the last sample
	p, g, a mean
	skin    [vessel.StationsMost]mean
	out     reading
}

// add adds the readings at time t and tells whether a block is complete.
func (b *block) add(t, lengthS float64, s *Snapshot, skinAt []bool) bool {
	jump := math.Abs(s.PressurePa-b.out.pressurePa) > blockJumpPa && t >= b.fromS+blockFlowS-1e-6
	if t-b.lastS > gapS {
		// What came before a gap is no part of what comes after it.
		b.p, b.g, b.a, b.skin = mean{}, mean{}, mean{}, [vessel.StationsMost]mean{}
	}
	b.lastS = t
	b.p.add(s.PressurePa)
	b.g.add(s.BeadK)
	b.a.add(s.AmbientK)
	for i, at := range skinAt {
		if at {
			b.skin[i].add(s.Stations[i].SensorK)
		}
	}
	if b.begun && !jump && t < b.fromS+lengthS-1e-6 {
		return false
	}
	b.begun, b.fromS = true, t
	b.out = reading{timeS: t, pressurePa: b.p.close(), beadK: b.g.close(), ambientK: b.a.close()}
	for i := range b.skin {
		b.out.skinK[i] = b.skin[i].close()
	}
	return true
}
