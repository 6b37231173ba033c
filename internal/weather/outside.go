package weather

import "math"

// airAt are dry air's properties near room temperature and one atmosphere:
// Sutherland's law for viscosity, 1.458e-6 T^1.5/(T + 110.4) (ISO 2533), and for
// conductivity 2.6482e-3 T^1.5/(T + 245.4·10^(-12/T)) (the same standard, from
// memory).
func airAt(tempK, airPa float64) (densityKgM3, viscosityPaS, conductivityWMK float64) {
	root := math.Sqrt(tempK) * tempK
	return airPa / (airGasConstant * tempK), 1.458e-6 * root / (tempK + 110.4),
		2.6482e-3 * root / (tempK + 245.4*math.Pow(10, -12/tempK))
}

// forcedNu is the mean of a cylinder across the wind (Churchill & Bernstein 1977).
func forcedNu(reynolds, prandtl float64) float64 {
	return 0.3 + 0.62*math.Sqrt(reynolds)*math.Cbrt(prandtl)/math.Pow(1+math.Pow(0.4/prandtl, 2.0/3), 0.25)*
		math.Pow(1+math.Pow(reynolds/282000, 0.625), 0.8)
}

// naturalNu is the mean of a level cylinder in still air (Churchill & Chu 1975).
func naturalNu(rayleigh, prandtl float64) float64 {
	root := 0.60 + 0.387*math.Pow(rayleigh, 1.0/6)/math.Pow(1+math.Pow(0.559/prandtl, 9.0/16), 8.0/27)
	return root * root
}

// Convection is what the air takes from each square metre and kelvin of a
// cylinder's skin: wind and buoyancy joined by their cubes (all in Incropera &
// DeWitt, from memory).
func Convection(diameterM, windMS, skinK, airK, airPa float64) float64 {
	film := 0.5 * (skinK + airK)
	rho, mu, k := airAt(film, airPa)
	nu := mu / rho
	reynolds := windMS * diameterM / nu
	rayleigh := gravityMS2 / film * math.Abs(skinK-airK) * diameterM * diameterM * diameterM * airPrandtl / (nu * nu)
	forced, natural := forcedNu(reynolds, airPrandtl), naturalNu(rayleigh, airPrandtl)
	if windMS <= 0 {
		forced = 0
	}
	return math.Cbrt(forced*forced*forced+natural*natural*natural) * k / diameterM
}

// Radiation is what the surroundings take, 4 ε σ T_m³ (Incropera & DeWitt).
func Radiation(skinK, airK float64) float64 {
	mid := 0.5 * (skinK + airK)
	return 4 * Emittance * stefanBoltzmann * mid * mid * mid
}
