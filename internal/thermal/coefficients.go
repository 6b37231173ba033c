package thermal

import "math"

// coefficients are Params as the equations use them, worked out once for
// many steps.
type coefficients struct {
	lnFilm, density, buoyancy, jet float64
	outside, heat, conduct         float64 // W/m²K, ratio, ratio
	skinS, stem, lnBead            float64
	inflowK                        float64
	sunShare, uneven, beadLoss     float64
	beadJet, far, mixS             float64
}

func (p *Params) coefficients() coefficients {
	return coefficients{
		lnFilm: p[ParLnFilm], density: p[ParDensity], buoyancy: p[ParBuoyancy], jet: p[ParJet] * p[ParJet],
		outside: exp(p[ParLnOutside]), heat: exp(p[ParLnHeat]), conduct: exp(p[ParLnConduct]),
		skinS: exp(p[ParLnSkin]), stem: p[ParStem], lnBead: p[ParLnBead], inflowK: p[ParInflow],
		sunShare: min(max(p[ParSunShare], sunShareLeast), sunShareMost), uneven: p[ParUneven], beadLoss: p[ParBeadLoss],
		beadJet: p[ParBeadJet], far: p[ParFar], mixS: exp(p[ParLnMix]),
	}
}

// filmState is the part of the film coefficient that all stations share.
type filmState struct {
	lnNatural float64 // ln W/m²K at a difference of 1 K
	jet       float64 // W/m²K
	lnDense   float64 // ln of density over the reference
}

func (c *coefficients) filmState(densityKgM3, inflowKgS float64) filmState {
	dense := ln(max(densityKgM3, 1e-3) / DensityRefKgM3)
	s := filmState{lnNatural: c.lnFilm + c.density*dense - c.buoyancy*lnRefK, lnDense: dense}
	if c.jet != 0 && inflowKgS > 0 {
		s.jet = c.jet * exp(jetExponent*ln(inflowKgS/InflowRefKgS))
	}
	return s
}

// film is the coefficient at a wall that differs from the gas by diffK.
// Natural convection in a closed vessel: Nu ~ Raⁿ gives h ~ ρ²ⁿ ΔTⁿ (with
// n = 0.352, Woodfield et al. 2007, citation from memory).
func (c *coefficients) film(s filmState, diffK float64) float64 {
	lnFilm := s.lnNatural
	if c.buoyancy != 0 {
		lnFilm += 0.5 * c.buoyancy * ln(diffK*diffK+buoyancyFloorK*buoyancyFloorK)
	}
	return exp(lnFilm) + s.jet
}

func (c *coefficients) beadS(s filmState) float64 {
	return exp(c.lnBead + beadExponent*max(s.lnDense, lnThin))
}

// The sunny side never is none of the surface, nor all of it.
const sunShareLeast, sunShareMost = 0.05, 0.95

var lnRefK = math.Log(BuoyancyRefK)

// lnThin is where the gas is too thin for the bead's lag to grow further.
var lnThin = math.Log(0.1 / DensityRefKgM3)
