package learn

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// prior is a mean and one sigma.
type prior struct{ mean, sigma float64 }

// inletOf decides on what base a fill's inflow is counted: on the best that
// was read during most of its inflow. It puts the temperature of that base
// into the bins.
func inletOf(b []bin, m *thermal.Model) thermal.Inlet {
	var flows, pressures, temps int
	for i := 1; i < len(b); i++ {
		if b[i].pPa-b[i-1].pPa < flowingPa*b[i].dtS {
			continue
		}
		flows++
		if !math.IsNaN(b[i].supplyPa) {
			pressures++
		}
		if !math.IsNaN(b[i].supplyK) {
			temps++
		}
	}
	switch {
	case flows == 0:
		return thermal.InletAmbient
	case 2*temps > flows:
		lastKnown(b, func(b *bin) *float64 { return &b.supplyK })
		for i := range b {
			b[i].inletK = b[i].supplyK
		}
		return thermal.InletMeasured
	case 2*pressures > flows:
		lastKnown(b, func(b *bin) *float64 { return &b.supplyPa })
		throttle(b, m)
		return thermal.InletThrottled
	}
	return thermal.InletAmbient
}

// throttle works out the inflow's temperature before any hose, once for all
// the runs of a fit.
func throttle(b []bin, m *thermal.Model) {
	var s thermal.State
	for i := 1; i < len(b); i++ {
		s.Supply.PressurePa = math.Max(b[i].supplyPa+m.AmbientPa, m.AmbientPa)
		b[i].inletK = m.InletK(&s, 0.5*(b[i-1].pPa+b[i].pPa)+m.AmbientPa, b[i].ambientK)
	}
}

// lastKnown closes the gaps of a series with what was known before, or first.
func lastKnown(b []bin, of func(*bin) *float64) {
	last := math.NaN()
	for i := 0; i < len(b) && math.IsNaN(last); i++ {
		last = *of(&b[i])
	}
	for i := range b {
		if x := of(&b[i]); math.IsNaN(*x) {
			*x = last
		} else {
			last = *x
		}
	}
}

// shareInlet is the base of most of the fills, the better known one on a tie.
// The inflow of the others, it notes in them, deviates from the shared one by what handbooks
// make of the two bases.
func shareInlet(fills []*prepared) thermal.Inlet {
	var count [thermal.InletCount]int
	for _, p := range fills {
		count[p.inlet]++
	}
	shared := thermal.InletAmbient
	for i := range thermal.InletCount {
		if count[i] > 0 && count[i] >= count[shared] {
			shared = i
		}
	}
	for _, p := range fills {
		p.inflow = deviation(p.inlet, shared)
	}
	return shared
}

// deviation is what a fill's inflow on its own base may differ by from one
// that is shared on another.
func deviation(own, shared thermal.Inlet) prior {
	if own == shared {
		return prior{0, wallmodel.HandbookDay.InflowK}
	}
	a, sa := thermal.InflowPrior(own)
	b, sb := thermal.InflowPrior(shared)
	return prior{a - b, math.Hypot(wallmodel.HandbookDay.InflowK, math.Hypot(sa, sb))}
}
