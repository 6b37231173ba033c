package weather

import "math"

// Properties of water vapour in air: diffusivity 0.26 cm²/s at 298 K growing as
// T^1.5 (Incropera, table A.8, from memory), gas constant of water (IAPWS-95),
// specific heat of air (Incropera, table A.4, from memory).
const (
	diffusivity298M2S  = 0.26e-4
	waterGasConstant   = 461.52 // J/(kg K)
	airHeatJKgK        = 1007.0
	latentZeroJKg      = 2.501e6 // ASHRAE Fundamentals, psychrometrics
	latentSlopeJKgK    = 2326.0
	chiltonColburnPowr = 2.0 / 3
)

// evaporating is a wet face in balance: heat comes by air, surroundings, sun and
// wall, and goes with the vapour,
//
//	(h_c + h_r)(T_a − T_s) + q = h_m (ρ_sat(T_s) − ρ_air) h_fg,
//
// with h_m by the Chilton–Colburn analogy (Incropera & DeWitt, ch. 6).
type evaporating struct {
	airK, heatWM2K, gainWM2 float64
	massMS                  float64                     // h_m
	latentJKg               func(skinK float64) float64 // h_fg
	fullKgM3                func(skinK float64) float64 // vapour that the face holds
	airKgM3                 float64                     // vapour in the air
}

// massMS is h_m = h_c/(ρ c_p Le^⅔), Le = thermal diffusivity over diffusivity.
func massMS(convectionWM2K, densityKgM3, heatJKgK, thermalM2S, diffusivityM2S float64) float64 {
	return convectionWM2K / (densityKgM3 * heatJKgK * math.Pow(thermalM2S/diffusivityM2S, chiltonColburnPowr))
}

func (e *evaporating) lossKgM2S(skinK float64) float64 {
	return e.massMS * (e.fullKgM3(skinK) - e.airKgM3)
}

// settleK is where the balance closes.
func (e *evaporating) settleK() float64 {
	return bisect(e.airK-80, e.airK+120, func(skinK float64) float64 {
		return e.heatWM2K*(e.airK-skinK) + e.gainWM2 - e.lossKgM2S(skinK)*e.latentJKg(skinK)
	})
}

// Wet is a wall under a wet wrap.
type Wet struct {
	SunK, ShadeK float64 // above the air, at the sunniest line and where no beam falls
	OutsideWM2K  float64 // what a warmer wall gives off more for each kelvin
	LossKgM2S    float64 // water lost at the sunniest line
}

// Wrapped is the pad with a wet wrap of the same absorptance round the vessel, in
// air of a relative humidity from 0 to 1.
func (p *Pad) Wrapped(humidity float64) Wet {
	sinBeta, up := p.across()
	beam := p.Absorptance * p.Light.BeamWM2 * sinBeta
	sunny, shaded := p.absorbed(up)+beam, p.absorbed(-up)
	sun, outside, loss := p.wetFace(humidity, sunny)
	shade, _, _ := p.wetFace(humidity, shaded)
	return Wet{SunK: sun - p.AirK, ShadeK: shade - p.AirK, OutsideWM2K: outside, LossKgM2S: loss}
}

// wetFace is a wet face that takes up gainWM2.
func (p *Pad) wetFace(humidity, gainWM2 float64) (skinK, outsideWM2K, lossKgM2S float64) {
	skinK = p.AirK
	var e evaporating
	for range 4 { // convection changes little with the skin
		film := 0.5 * (skinK + p.AirK)
		conv := Convection(p.DiameterM, p.WindMS, skinK, p.AirK, p.AirPa)
		rho, _, cond := airAt(film, p.AirPa)
		diffusivity := diffusivity298M2S * math.Pow(film/298, 1.5) * SeaLevelPa / p.AirPa
		e = evaporating{
			airK: p.AirK, heatWM2K: conv + Radiation(skinK, p.AirK), gainWM2: gainWM2,
			massMS:    massMS(conv, rho, airHeatJKgK, cond/(rho*airHeatJKgK), diffusivity),
			latentJKg: func(k float64) float64 { return latentZeroJKg - latentSlopeJKgK*(k-zeroCK) },
			fullKgM3:  func(k float64) float64 { return SaturationPa(k) / (waterGasConstant * k) },
			airKgM3:   humidity * SaturationPa(p.AirK) / (waterGasConstant * p.AirK),
		}
		skinK = e.settleK()
	}
	more := e.lossKgM2S(skinK+0.5)*e.latentJKg(skinK+0.5) - e.lossKgM2S(skinK-0.5)*e.latentJKg(skinK-0.5)
	return skinK, e.heatWM2K + more, e.lossKgM2S(skinK)
}

// DryInS is how long a wrap lasts that holds waterKgM2, at the sunniest line. It
// dries in patches, so count on half of it.
func (w *Wet) DryInS(waterKgM2 float64) float64 {
	if !(w.LossKgM2S > 0) {
		return math.Inf(1)
	}
	return waterKgM2 / w.LossKgM2S
}
