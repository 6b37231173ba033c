package mimic

import "math"

const (
	gravityMS2     = 9.80665
	stefanBoltzman = 5.670374419e-8 // W/(m² K⁴), CODATA 2018
	prandtl        = 0.71           // air and nitrogen near room temperature
)

// naturalNu is natural convection inside a closed vessel, Nu = 0.104 Ra^0.352
// on the inner diameter: Woodfield, Monde & Mitsutake, J. Thermal Sci. Tech.
// 2(2):180 (2007); the correlation is quoted from memory.
func naturalNu(rayleigh float64) float64 {
	return 0.104 * math.Pow(rayleigh, naturalPower)
}

const (
	naturalPower = 0.352
	jetPower     = 0.67
	pivotRa      = 3e8 // where other exponents give the same film: the middle of a fill
	pivotRe      = 3e4
)

// jetNu is the same source's forced part, Nu = 0.56 Re^0.67 on the inlet's
// diameter and velocity. It was measured in short vessels; Truth.JetShare
// scales it for long ones, in which the jet dies out before the far end.
func jetNu(reynolds float64) float64 {
	return 0.56 * math.Pow(reynolds, jetPower)
}

// insideGas holds what the inside convection needs of the gas at one moment.
type insideGas struct {
	rayleighPerK float64 // Ra for a temperature difference of 1 K
	condWMK      float64
	jetWM2K      float64
	diameterM    float64
	power        float64 // of the Rayleigh number
	times        float64 // the day's film over the usual
}

// newInsideGas prepares the coefficients for all stations.
func newInsideGas(t *Truth, g *gasLaw, rho, tempK, jetKgS float64) insideGas {
	mu, k := g.viscosityPaS(rho, tempK), g.conductivityWMK(rho, tempK)
	d := t.InnerDiameterM
	_, cv, _ := g.energy(rho, tempK)
	cp := cv + g.rJKgK
	in := insideGas{condWMK: k, diameterM: d, power: naturalPower + t.Rough.NaturalPowerMore, times: 1}
	if t.Rough.FilmTimes > 0 {
		in.times = t.Rough.FilmTimes
	}
	in.rayleighPerK = gravityMS2 / tempK * d * d * d * rho * rho * cp / (mu * k)
	if jetKgS > 0 {
		re := 4 * jetKgS / (math.Pi * t.InletDiameterM * mu)
		in.jetWM2K = in.times * t.JetShare * jetNu(re) * math.Pow(re/pivotRe, t.Rough.JetPowerMore) * k / d
	}
	return in
}

// noDiffK is a difference that moves no gas; at none at all, a power below zero
// would make no number of the film.
const noDiffK = 1e-6

// coefficient is h_i at a wall that differs by diffK from the gas, W/(m² K).
// Pure conduction across the radius bounds it from below.
func (in *insideGas) coefficient(diffK, factor float64) float64 {
	ra := in.rayleighPerK * math.Max(math.Abs(diffK), noDiffK)
	nu := max(naturalNu(ra)*math.Pow(ra/pivotRa, in.power-naturalPower)*in.times, 2)
	return factor*nu*in.condWMK/in.diameterM + in.jetWM2K
}

// outsideWM2K is the convection coefficient outside a horizontal or leaning
// cylinder in wind: Churchill & Bernstein (1977) across the flow, and
// Churchill & Chu (1975) for the natural part, joined by cubes (both as in
// Incropera's text; from memory).
func outsideWM2K(diameterM, windMS, skinK, ambientK float64) float64 {
	film := (skinK + ambientK) / 2
	mu, k := airLaw.viscosityPaS(1.2, film), airLaw.conductivityWMK(1.2, film)
	rho := 101325 / (airLaw.rJKgK * film)
	re := rho * windMS * diameterM / mu
	forced := 0.3 + 0.62*math.Sqrt(re)*math.Cbrt(prandtl)/
		math.Pow(1+math.Pow(0.4/prandtl, 2.0/3), 0.25)*
		math.Pow(1+math.Pow(re/282000, 0.625), 0.8)
	nu := mu / rho
	ra := gravityMS2 / film * math.Abs(skinK-ambientK) * diameterM * diameterM * diameterM * prandtl / (nu * nu)
	root := 0.60 + 0.387*math.Pow(ra, 1.0/6)/math.Pow(1+math.Pow(0.559/prandtl, 9.0/16), 8.0/27)
	natural := root * root
	return math.Cbrt(forced*forced*forced+natural*natural*natural) * k / diameterM
}

// sphereWM2K is the coefficient on a small bead in gas moving at speedMS:
// Ranz & Marshall (1952), Nu = 2 + 0.6 Re^½ Pr^⅓ (from memory).
func sphereWM2K(g *gasLaw, rho, tempK, speedMS, diameterM float64) float64 {
	mu, k := g.viscosityPaS(rho, tempK), g.conductivityWMK(rho, tempK)
	re := rho * speedMS * diameterM / mu
	return (2 + 0.6*math.Sqrt(re)*math.Cbrt(prandtl)) * k / diameterM
}
