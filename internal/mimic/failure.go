package mimic

import (
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// FailureMode is how a sensor dies.
type FailureMode uint8

// The modes.
const (
	FailOpen     FailureMode = iota + 1 // flickers for FlickerS, then open for good
	FailFrozen                          // gives the same raw value for ever
	FailDrift                           // drifts by RateKS
	FailReversed                        // leads swapped: the sign of the emf turns
)

// FlickerS is how long a dying thermocouple makes and breaks contact.
const FlickerS = 12

// Failure is a sensor that dies at AtS. Station matters for wall sensors only.
type Failure struct {
	Role    vessel.Role
	Station string
	Mode    FailureMode
	AtS     float64
	RateKS  float64
}

func (f *Failure) hits(c *vessel.Channel, timeS float64) bool {
	return f.Role == c.Role && timeS >= f.AtS && (f.Station == "" || f.Station == c.Station)
}

// driftK is how far a drifting sensor is off by now.
func (n *instrument) driftK(c *vessel.Channel, timeS float64) float64 {
	sum := 0.0
	for k := range n.failures {
		if f := &n.failures[k]; f.Mode == FailDrift && f.hits(c, timeS) {
			sum += f.RateKS * (timeS - f.AtS)
		}
	}
	return sum
}

// failed is what a channel's value becomes by the failures in force.
func (n *instrument) failed(i int, c *vessel.Channel, timeS float64, v int32) int32 {
	for k := range n.failures {
		f := &n.failures[k]
		if !f.hits(c, timeS) {
			continue
		}
		switch f.Mode {
		case FailOpen:
			gone := min((timeS-f.AtS)/FlickerS, 1)
			if n.r.Float64() < math.Sqrt(gone) {
				v = wire.ValueMissing
			}
		case FailFrozen:
			if !n.isFrozen[i] {
				n.isFrozen[i], n.frozen[i] = true, v
			}
			v = n.frozen[i]
		case FailReversed:
			if v != wire.ValueMissing {
				v = -v
			}
		}
	}
	return v
}
