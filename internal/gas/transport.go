package gas

import "math"

// transport holds the coefficients of Lemmon & Jacobsen (2004): viscosity in
// µPa s and conductivity in mW/(m K), lengths in nm, as printed.
type transport struct {
	sigmaNM, epsilonK float64
	omega             [5]float64
	viscosity         []transportTerm
	diluteEta         float64 // factor of the dilute viscosity
	dilute            []transportTerm
	conductivity      []transportTerm

	// Critical enhancement.
	xi0NM, gammaAmplitude, cutoffNM, tempReferenceK, pressureCriticalPa float64
}

// transportTerm is n τ^t δ^d exp(−δ^l), the exponential only for l > 0.
type transportTerm struct {
	n    float64
	d, l int
	t    float64
}

const (
	boltzmann      = 1.380658e-23 // J/K, CODATA 1986, which goes with the R of the papers
	criticalR0     = 1.01
	criticalNu     = 0.63
	criticalGamma  = 1.2415
	transportPower = 13 // highest power of δ is 12
)

func transportSum(terms []transportTerm, tau, delta float64) float64 {
	var p [transportPower]float64
	x := 1.0
	for i := range p {
		p[i] = x
		x *= delta
	}
	ln, sum := math.Log(tau), 0.0
	for i := range terms {
		t := &terms[i]
		exponent := t.t * ln
		if t.l > 0 {
			exponent -= p[t.l]
		}
		sum += t.n * p[t.d] * math.Exp(exponent)
	}
	return sum
}

// viscosityDilute is the viscosity at zero density, µPa s, with the collision
// integral of Lemmon & Jacobsen, eq. 2 and 3.
func (e *EOS) viscosityDilute(tempK float64) float64 {
	t := e.transport
	ln, omega := math.Log(tempK/t.epsilonK), 0.0
	for i := len(t.omega) - 1; i >= 0; i-- {
		omega = omega*ln + t.omega[i]
	}
	return 0.0266958 * math.Sqrt(1000*e.molarMassKgMol*tempK) / (t.sigmaNM * t.sigmaNM * math.Exp(omega))
}

// ViscosityPaS is the dynamic viscosity; uncertainty about 1 % (air) and 0.5 %
// (nitrogen) near ambient conditions, 2 to 5 % at high pressure.
func (e *EOS) ViscosityPaS(tempK, densityKgM3 float64) float64 {
	tau, delta := e.tempReducingK/tempK, densityKgM3/e.densityReducing()
	return 1e-6 * (e.viscosityDilute(tempK) + transportSum(e.transport.viscosity, tau, delta))
}

// ConductivityWMK is the thermal conductivity with its critical enhancement;
// uncertainty about 2 % near ambient conditions, to 5 % at high pressure.
func (e *EOS) ConductivityWMK(tempK, densityKgM3 float64) float64 {
	t := e.transport
	tau, delta := e.tempReducingK/tempK, densityKgM3/e.densityReducing()
	mW := t.diluteEta*e.viscosityDilute(tempK) + transportSum(t.dilute, tau, 1) +
		transportSum(t.conductivity, tau, delta)
	return 1e-3*mW + e.conductivityCritical(tempK, densityKgM3)
}

// conductivityCritical is the simplified crossover model of Olchowy & Sengers
// (Int. J. Thermophys. 10:417, 1989) as used by Lemmon & Jacobsen, eq. 7 to 11.
func (e *EOS) conductivityCritical(tempK, rho float64) float64 {
	t := e.transport
	if rho <= 0 {
		return 0
	}
	s := e.State(tempK, rho)
	rhoCritical := e.densityReducing()
	susceptibility := t.pressureCriticalPa * rho / (rhoCritical * rhoCritical)
	excess := susceptibility/s.PressurePaKgM3 -
		susceptibility/e.State(t.tempReferenceK, rho).PressurePaKgM3*t.tempReferenceK/tempK
	if excess <= 0 {
		return 0
	}
	xi := t.xi0NM * math.Pow(excess/t.gammaAmplitude, criticalNu/criticalGamma)
	y, inverseK := xi/t.cutoffNM, s.CvJKgK/s.CpJKgK
	crossover := (1-inverseK)*math.Atan(y) + inverseK*y
	background := 1 - math.Exp(-1/(1/y+y*y*rhoCritical*rhoCritical/(3*rho*rho)))
	return rho * s.CpJKgK * boltzmann * criticalR0 * tempK / (6 * math.Pi * xi * 1e-9 * e.ViscosityPaS(tempK, rho)) *
		(crossover - background) * 2 / math.Pi
}
