package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// supplyHoldS is how long a supply reading stands in for those that fail
// after it: a cylinder's pressure moves slowly.
const supplyHoldS = 10.0

// supplied gathers what the sensors say of the supply over a block.
type supplied struct {
	pa, temp   mean
	known      thermal.Supply // absolute
	paS, tempS float64        // session time of these
}

func (s *supplied) add(x *Sample) {
	s.pa.add(x.SupplyPa)
	s.temp.add(x.SupplyK)
}

// end is what is known of the supply at the end of a block.
func (s *supplied) end(timeS, ambientPa float64) thermal.Supply {
	if pa := s.pa.close(); !math.IsNaN(pa) {
		// An empty line is a supply too: one that nothing expands from.
		s.known.PressurePa, s.paS = math.Max(pa+ambientPa, ambientPa), timeS
	} else if timeS-s.paS > supplyHoldS {
		s.known.PressurePa = 0
	}
	if k := s.temp.close(); !math.IsNaN(k) {
		s.known.TempK, s.tempS = k, timeS
	} else if timeS-s.tempS > supplyHoldS {
		s.known.TempK = 0
	}
	return s.known
}
