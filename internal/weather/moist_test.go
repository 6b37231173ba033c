package weather

// Psychrometrics that hold the wet wrap against a wet bulb.

// vapourShare is the molar mass of water over that of dry air.
const vapourShare = 0.621945

// Ratio is the humidity ratio, kg water in a kg of dry air, at a vapour pressure.
func Ratio(vapourPa, airPa float64) float64 { return vapourShare * vapourPa / (airPa - vapourPa) }

// VapourPa is the vapour pressure at a humidity ratio.
func VapourPa(ratio, airPa float64) float64 { return airPa * ratio / (vapourShare + ratio) }

// RatioFromWetBulb is the humidity ratio that dry and wet bulb tell (ASHRAE
// Fundamentals, psychrometrics, eq. 33 and, over ice, 35).
func RatioFromWetBulb(dryK, wetK, airPa float64) float64 {
	t, w := dryK-zeroCK, wetK-zeroCK
	saturated := Ratio(SaturationPa(wetK), airPa)
	if w < 0 {
		return ((2830-0.24*w)*saturated - 1.006*(t-w)) / (2830 + 1.86*t - 2.1*w)
	}
	return ((2501-2.326*w)*saturated - 1.006*(t-w)) / (2501 + 1.86*t - 4.186*w)
}

// WetBulbK is what a wet bulb reads in air of a relative humidity, 0 to 1.
func WetBulbK(airK, humidity, airPa float64) float64 {
	ratio := Ratio(humidity*SaturationPa(airK), airPa)
	return bisect(airK-60, airK, func(wetK float64) float64 { return ratio - RatioFromWetBulb(airK, wetK, airPa) })
}

// DewPointK is where vapour of a pressure begins to condense.
func DewPointK(vapourPa float64) float64 {
	return bisect(173.15, 373.15, func(k float64) float64 { return vapourPa - SaturationPa(k) })
}
