// Package weather works out what a day does to a vessel on its pad: where the sun
// stands, what of it arrives, what wind and sky carry off, and what the outside
// comes to, dry or under a wet wrap. It is known ahead of a fill to some 30 % of
// the gain over the air, and to a degree or two once somebody has read the wall.
package weather

import "math"

const (
	stefanBoltzmann = 5.670374419e-8 // W/(m² K⁴), CODATA 2018
	gravityMS2      = 9.80665
	airGasConstant  = 287.055 // J/(kg K), dry air (ISO 2533: 287.05287)
	airPrandtl      = 0.71    // near room temperature (Incropera, table A.4, from memory)
	zeroCK          = 273.15
)

// Emittance is that of ordinary paints for heat radiation, 0.85 to 0.95 (from
// memory).
const Emittance = 0.9

// deg turns degrees into radian.
func deg(x float64) float64 { return x * math.Pi / 180 }

// Degrees turns radian into degrees.
func Degrees(x float64) float64 { return x * 180 / math.Pi }

// bisect finds where a falling function passes zero between low and high, to
// 1e-9 of their distance. NaN stays NaN.
func bisect(low, high float64, f func(float64) float64) float64 {
	if math.IsNaN(f(low)) || math.IsNaN(f(high)) {
		return math.NaN()
	}
	for range 40 {
		mid := 0.5 * (low + high)
		if f(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return 0.5 * (low + high)
}
