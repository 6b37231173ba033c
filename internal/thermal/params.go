// Package thermal holds the physics that fillwright estimates with: the gas
// energy balance, heat conduction through the wall at each station, and runs
// of both forward in time.
//
// Pressures in this package are absolute, in Pa; temperatures are in K.
package thermal

import (
	"math"
)

// Parameter indices of Params. Positive quantities are held as logarithms, so
// that a step in any direction keeps them physical.
const (
	ParLnFilm    = iota // ln of the inside film coefficient at reference, W/m²K
	ParDensity          // exponent of gas density in the film coefficient
	ParBuoyancy         // exponent of gas-wall difference in the film coefficient
	ParJet              // square root of the film coefficient that the inflow jet adds at InflowRefKgS, (W/m²K)^½
	ParLnOutside        // ln of the outside coefficient, W/m²K
	ParInflow           // inflow temperature at the inlet minus that of its base (see Inlet), K
	ParLnBead           // ln of the gas bead's time constant, s
	ParLnConduct        // ln of through-thickness conductivity over the profile's
	ParLnHeat           // ln of wall heat capacity over the profile's
	ParLnSkin           // ln of the skin sensors' time constant, s
	ParStem             // share of skin over ambient that the skin sensors' leads take off
	ParSunShare         // share of the surface by which the gas sees the sunniest line rather than the shaded side
	ParUneven           // how far the gas before the sunniest line stands above the mean, as a share of gas minus wall
	ParBeadLoss         // share of gas minus wall that stem and radiation take off the gas probe
	ParBeadJet          // share of the inflow in what the gas probe sees while gas comes in
	ParFar              // share of what lies beyond the jet's reach that is compressed unmixed
	ParLnMix            // ln of the time that such gas takes to mix with the rest, s
	ParHand             // share of skin over ambient that a hand-held probe takes off what it reads
	ParCount
)

// Reference conditions of the film coefficient. They lie in the middle of a
// fill, so that scale and exponents are told apart as well as they can be.
const (
	DensityRefKgM3 = 20.0
	BuoyancyRefK   = 10.0
	InflowRefKgS   = 0.005
	beadExponent   = -0.4 // lag of a small bead against gas density: Nu ~ Re^0.4..0.5 of a cylinder in slow flow, Churchill & Bernstein 1977 (citation from memory)
	jetExponent    = 0.67 // Re exponent of a confined jet, Woodfield et al. 2007 (citation from memory)
	buoyancyFloorK = 0.5  // keeps a weak stirring when gas and wall agree
)

// Params are the model's parameters, indexed by the Par constants.
type Params [ParCount]float64

// scale says how a parameter holds the number that people read.
type scale uint8

const (
	plain scale = iota
	log         // its logarithm
	root        // its square root
)

// parameters is what there is to say of each, in the order of the Par constants.
var parameters = [ParCount]struct {
	key, name, unit string
	scale           scale
	step            float64 // a change that differences can be taken over
}{
	ParLnFilm:    {"film_w_m2k", "inside film at reference", "W/m²K", log, 0.01},
	ParDensity:   {"density_exponent", "density exponent", "", plain, 0.01},
	ParBuoyancy:  {"buoyancy_exponent", "buoyancy exponent", "", plain, 0.01},
	ParJet:       {"jet_w_m2k", "jet film at reference", "W/m²K", root, 0.01},
	ParLnOutside: {"outside_w_m2k", "outside coefficient", "W/m²K", log, 0.01},
	ParInflow:    {"inflow_above_ambient_k", "inflow above ambient", "K", plain, 0.1},
	ParLnBead:    {"bead_s", "bead lag at reference", "s", log, 0.01},
	ParLnConduct: {"conductivity_ratio", "conductivity / profile", "", log, 0.01},
	ParLnHeat:    {"wall_heat_ratio", "wall heat / profile", "", log, 0.01},
	ParLnSkin:    {"skin_sensor_s", "skin sensor lag", "s", log, 0.01},
	ParStem:      {"skin_sensor_lead_loss", "skin sensor lead loss", "", plain, 0.002},
	ParSunShare:  {"sunny_share", "sunny share", "", plain, 0.002},
	ParUneven:    {"gas_unevenness", "gas unevenness", "", plain, 0.002},
	ParBeadLoss:  {"gas_probe_loss", "gas probe loss", "", plain, 0.002},
	ParBeadJet:   {"gas_probe_inflow", "inflow at gas probe", "", plain, 0.002},
	ParFar:       {"far_end_unmixed", "unmixed far end", "", plain, 0.01},
	ParLnMix:     {"far_end_mixes_s", "far end mixes in", "s", log, 0.01},
	ParHand:      {"hand_reading_loss", "hand-held reading loss", "", plain, 0.002},
}

// ParName names a parameter for tables.
func ParName(i int) string { return parameters[i].name }

// ParUnit is the unit of ParValue.
func ParUnit(i int) string { return parameters[i].unit }

// ParKey is the parameter's key in a model file.
func ParKey(i int) string { return parameters[i].key }

// ParValue turns a parameter into the number that people read.
func ParValue(i int, x float64) float64 {
	switch parameters[i].scale {
	case log:
		return math.Exp(x)
	case root:
		return x * x
	}
	return x
}

// ParInternal is the inverse of ParValue.
func ParInternal(i int, v float64) float64 {
	switch parameters[i].scale {
	case log:
		return math.Log(v)
	case root:
		return math.Sqrt(math.Max(v, 0))
	}
	return v
}

// ParSlope is d ParValue / d parameter, for standard errors.
func ParSlope(i int, x float64) float64 {
	switch parameters[i].scale {
	case log:
		return math.Exp(x)
	case root:
		return 2 * math.Abs(x)
	}
	return 1
}

// Film is the inside film coefficient in W/m²K for gas of densityKgM3 that
// differs from the wall by diffK, with inflowKgS coming in.
func (p *Params) Film(densityKgM3, diffK, inflowKgS float64) float64 {
	c := p.coefficients()
	return c.film(c.filmState(densityKgM3, inflowKgS), diffK)
}

// BeadS is the bead's time constant in gas of densityKgM3; the parameter
// holds it at the reference density.
func (p *Params) BeadS(densityKgM3 float64) float64 {
	return math.Exp(p[ParLnBead] + beadExponent*math.Log(math.Max(densityKgM3, 0.1)/DensityRefKgM3))
}
