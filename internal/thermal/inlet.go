package thermal

import (
	"fmt"
	"math"
)

// Inlet says what ParInflow is counted from.
type Inlet uint8

// The bases of the inflow's temperature, the better known the further down.
const (
	InletAmbient   Inlet = iota // the air around
	InletThrottled              // supply gas at ambient, throttled to the vessel's pressure
	InletMeasured               // a sensor in the supply line
	InletCount
)

var inletNames = [InletCount]string{"ambient", "throttled", "measured"}

// String is the name in a model file.
func (i Inlet) String() string { return inletNames[min(i, InletCount-1)] }

// InletNamed finds a base by its name.
func InletNamed(name string) (Inlet, error) {
	for i, n := range inletNames {
		if n == name {
			return Inlet(i), nil
		}
	}
	return InletAmbient, fmt.Errorf("inflow base %q is not known: it is ambient, throttled or measured", name)
}

// inflowPriors is what handbooks know of ParInflow on each base, K. Ambient:
// expansion from a cylinder cools, a warm hose heats. Throttled: hose and
// fittings warm the gas on its way; that the cylinder cools too is in the
// scatter. Measured: the sensor is not quite at the inlet. Common practice, no
// source.
var inflowPriors = [InletCount]Normal{{-4, 10}, {10, 12}, {0, 4}}

// InflowPrior is the handbook's mean of ParInflow on a base and one sigma, K.
func InflowPrior(base Inlet) (meanK, sigmaK float64) {
	p := inflowPriors[min(base, InletCount-1)]
	return p.MeanK, p.SigmaK
}

// Supply is what is known of the gas that comes in. The zero value, and NaN,
// is nothing known.
type Supply struct {
	PressurePa float64 // in the cylinder, absolute
	TempK      float64 // as measured in the line to the inlet
}

// Inlet is the base that the supply allows.
func (s Supply) Inlet() Inlet {
	switch {
	case s.TempK > 0:
		return InletMeasured
	case s.PressurePa > 0:
		return InletThrottled
	}
	return InletAmbient
}

// throttled remembers a throttle's answer: the next one starts there.
type throttled struct {
	ambientK, supplyPa, vesselPa, tempK float64
	hJKg                                float64 // of the gas in the supply
}

// InletK is the temperature that ParInflow is counted from, K, for inflow into
// a vessel at absolute vesselPa. A supply under the vessel's pressure feeds
// nothing; it counts as throttled by nothing.
func (m *Model) InletK(s *State, vesselPa, ambientK float64) float64 {
	switch s.Supply.Inlet() {
	case InletMeasured:
		return s.Supply.TempK
	case InletThrottled:
		if s.Supply.PressurePa <= vesselPa {
			return ambientK
		}
	default:
		return ambientK
	}
	t := &s.throttled
	if t.ambientK == ambientK && t.supplyPa == s.Supply.PressurePa && t.vesselPa == vesselPa {
		return t.tempK
	}
	guess := ambientK - dropGuessKPa*(s.Supply.PressurePa-vesselPa)
	if t.tempK > 0 && math.Abs(t.tempK-guess) < throttleNearK {
		guess = t.tempK
	}
	if t.ambientK != ambientK || t.supplyPa != s.Supply.PressurePa {
		t.ambientK, t.supplyPa = ambientK, s.Supply.PressurePa
		t.hJKg = m.Fluid.HJKg(ambientK, m.Fluid.DensityKgM3(ambientK, t.supplyPa))
	}
	t.vesselPa, t.tempK = vesselPa, throttleK(m.Fluid, t.hJKg, vesselPa, guess)
	return t.tempK
}

const (
	dropGuessKPa  = 0.17e-5 // K/Pa: air near 300 K, between 1 and 300 bar (Lemmon et al. 2000)
	throttleNearK = 40.0    // an older answer this near to the guess is the better guess
	throttleMost  = 12
	throttleTolK  = 5e-3 // of a step; what is left after it is ten times less
)

// throttleK is the temperature after throttling to toPa at enthalpy hJKg
// (Joule–Thomson; first law of a steady stream without heat or work), by
// secants from guessK.
func throttleK(fl Fluid, hJKg, toPa, guessK float64) float64 {
	t, slope := guessK, 0.0
	var lastT, lastH float64
	for i := 0; i < throttleMost; i++ {
		rho := fl.DensityKgM3(t, toPa)
		ht := fl.HJKg(t, rho)
		if i == 0 {
			slope = fl.CvJKgK(t, rho) + fl.SpecificGasConstant()
		} else if t != lastT {
			slope = (ht - lastH) / (t - lastT)
		}
		step := (hJKg - ht) / slope
		lastT, lastH = t, ht
		t += step
		if !(math.Abs(step) > throttleTolK) { // an unknown one ends too
			break
		}
	}
	return t
}
