package weather

import "math"

// SaturationPa is the pressure of water vapour over water, and over ice below the
// freezing point (Hyland & Wexler 1983, as in ASHRAE Fundamentals, psychrometrics,
// eq. 5 and 6).
func SaturationPa(tempK float64) float64 {
	t := tempK
	if t < zeroCK {
		return math.Exp(-5.6745359e3/t + 6.3925247 + t*(-9.6778430e-3+t*(6.2215701e-7+t*(2.0747825e-9-9.4840240e-13*t))) + 4.1635019*math.Log(t))
	}
	return math.Exp(-5.8002206e3/t + 1.3914993 + t*(-4.8640239e-2+t*(4.1764768e-5-1.4452093e-8*t)) + 6.5459673*math.Log(t))
}
