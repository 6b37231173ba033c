package mimic

import "math"

// gamma of diatomic gases; the real gas's deviation enters through density.
const gamma = 1.4

// orificeKgS is the mass flow through an effective area (discharge
// coefficient times area, m²) from stagnation state (upPa absolute, upRho) to
// downPa: isentropic nozzle flow, choked below the critical pressure ratio
// (perfect-gas relations, NACA Report 1135).
func orificeKgS(areaM2, upPa, upRho, downPa float64) float64 {
	if areaM2 <= 0 || upPa <= downPa {
		return 0
	}
	critical := math.Pow(2/(gamma+1), gamma/(gamma-1))
	ratio := max(downPa/upPa, critical)
	// ṁ = A √(p₀ρ₀) √(2γ/(γ−1) (r^{2/γ} − r^{(γ+1)/γ}))
	term := math.Pow(ratio, 2/gamma) - math.Pow(ratio, (gamma+1)/gamma)
	return areaM2 * math.Sqrt(upPa*upRho) * math.Sqrt(2*gamma/(gamma-1)*max(term, 0))
}
