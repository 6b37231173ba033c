package thermal

import (
	"math"

	"fillwright/internal/vessel"
)

// Water of 20 °C: IAPWS-95 gives 998.2 kg/m³ and 4184 J/kgK (values from memory).
const (
	waterDensityKgM3 = 998.2
	waterHeatJKgK    = 4184.0
)

// addWater takes the water's heat in as a lump at one temperature, stirred by
// its own convection, behind the wall's film. The gas wets one cross-section
// of the vessel: all of it in a vessel that stands upright, less than there is
// in one that lies, so that water never cools the estimate more than it does.
// What evaporates, and the wall below the water line, are left out.
func (m *Model) addWater(v *vessel.Profile) {
	if !(v.Water > 0) {
		return
	}
	d := float64(v.InnerDiameter)
	m.WaterJK = float64(v.Water) * waterDensityKgM3 * waterHeatJKgK
	m.WaterAreaM2 = math.Pi / 4 * d * d
}

// wet is the conductance from gas to water, W/K, and the heat that the water
// takes in dtS per kelvin of mean gas above it, J/K: exact for a gas that
// stays at its mean.
func (m *Model) wet(s *State, c *coefficients, stir filmState, dtS float64) (filmWK, shareJK float64) {
	filmWK = m.WaterAreaM2 * c.film(stir, s.GasK-s.WaterK)
	return filmWK, -m.WaterJK * math.Expm1(-dtS*filmWK/m.WaterJK)
}
