package mimic

import (
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// FlickerS is how long a dying thermocouple makes and breaks contact before it
// is open for good.
const FlickerS = 12

// Failure is a sensor that dies at AtS.
type Failure struct {
	Role vessel.Role
	AtS  float64
}

// failed is what a channel's value becomes by the failures in force.
func (n *instrument) failed(c *vessel.Channel, timeS float64, v int32) int32 {
	for k := range n.failures {
		f := &n.failures[k]
		if f.Role != c.Role || timeS < f.AtS {
			continue
		}
		if gone := min((timeS-f.AtS)/FlickerS, 1); n.r.Float64() < math.Sqrt(gone) {
			v = wire.ValueMissing
		}
	}
	return v
}
