package probe

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
)

const zeroCK = 273.15 // 0 °C in kelvin

// edgeSlackC lets the end of a range stand the rounding of °C to K and back.
const edgeSlackC = 1e-9

func within(t, least, most float64) bool {
	return t >= least-edgeSlackC && t <= most+edgeSlackC
}

// letter is one thermocouple type: the reference function E(t) in pieces,
// and the published approximate inverse in pieces.
type letter struct {
	forward []segment
	inverse []guess
}

// segment is E = Σ c[i] tⁱ + gauss[0]·exp(gauss[1]·(t − gauss[2])²), mV and °C.
type segment struct {
	leastC, mostC float64
	c             []float64
	gauss         [3]float64
}

// guess is t = Σ d[i] Eⁱ, °C and mV, good to some hundredths of a degree.
type guess struct {
	leastMV, mostMV float64
	d               []float64
}

// outOfRange says that a value lies outside of what a thermocouple type covers.
func outOfRange(k vessel.Kind, x, least, most float64, unit string) error {
	return fmt.Errorf("type %s: %.4g %s is outside of %g to %g %s", k, x, unit, least, most, unit)
}

func noThermocouple(k vessel.Kind) error {
	return fmt.Errorf("kind %q is no thermocouple; expected K, T, J, N or E", k)
}

// letterOf gives a type's functions, nil if the kind is no thermocouple.
func letterOf(kind vessel.Kind) *letter {
	switch kind {
	case vessel.KindE:
		return &letters[0]
	case vessel.KindJ:
		return &letters[1]
	case vessel.KindK:
		return &letters[2]
	case vessel.KindN:
		return &letters[3]
	case vessel.KindT:
		return &letters[4]
	}
	return nil
}

// EMF is the thermocouple's emf in volts with its junction at tempK and its
// cold end at 0 °C, by the ITS-90 reference function (NIST Monograph 175).
// From -270 °C (J: -210 °C) to E 1000, J 1200, K 1372, N 1300, T 400 °C;
// outside of that an error.
func EMF(kind vessel.Kind, tempK float64) (volts float64, err error) {
	mv, _, err := emfMV(kind, tempK)
	return mv * 1e-3, err
}

// Sensitivity is dE/dt in volts per kelvin (the Seebeck coefficient), in the
// range of EMF.
func Sensitivity(kind vessel.Kind, tempK float64) (voltsPerK float64, err error) {
	_, slope, err := emfMV(kind, tempK)
	return slope * 1e-3, err
}

func emfMV(kind vessel.Kind, tempK float64) (mv, slope float64, err error) {
	l := letterOf(kind)
	if l == nil {
		return math.NaN(), math.NaN(), noThermocouple(kind)
	}
	t := tempK - zeroCK
	least, most := l.forward[0].leastC, l.forward[len(l.forward)-1].mostC
	if !within(t, least, most) {
		return math.NaN(), math.NaN(), outOfRange(kind, t, least, most, "°C")
	}
	mv, slope = l.at(t)
	return mv, slope, nil
}

// at is E in mV and dE/dt in mV/K at t in °C. Just outside of the range the
// end piece goes on, which Newton's method may need.
func (l *letter) at(t float64) (mv, slope float64) {
	s := &l.forward[0]
	for i := 1; i < len(l.forward) && t >= s.mostC; i++ {
		s = &l.forward[i]
	}
	for i := len(s.c) - 1; i >= 0; i-- {
		slope = slope*t + mv
		mv = mv*t + s.c[i]
	}
	if s.gauss[0] != 0 {
		x := t - s.gauss[2]
		g := s.gauss[0] * math.Exp(s.gauss[1]*x*x)
		mv += g
		slope += 2 * s.gauss[1] * x * g
	}
	return mv, slope
}

// newtonSteps after the published inverse, which is within 0.06 °C: the
// error squares with each step, so two leave less than 1e-7 °C. The count is
// fixed so that the result depends on the emf alone and costs the same always.
const newtonSteps = 2

// TemperatureK is the junction's temperature in K for an emf in volts against
// a cold end at 0 °C: the inverse of EMF, better than 1e-6 °C. It covers the
// range of the published inverse, from -200 °C (J: -210 °C) to the upper end
// of EMF; outside of that an error.
func TemperatureK(kind vessel.Kind, volts float64) (tempK float64, err error) {
	l := letterOf(kind)
	if l == nil {
		return math.NaN(), noThermocouple(kind)
	}
	mv := volts * 1e3
	t, ok := l.temperatureC(mv)
	if !ok {
		return math.NaN(), outOfRange(kind, mv, l.inverse[0].leastMV, l.inverse[len(l.inverse)-1].mostMV, "mV")
	}
	return t + zeroCK, nil
}

// edgeSlackMV: the ends of the published inverses are rounded to a microvolt.
const edgeSlackMV = 0.0005

// temperatureC is the inverse in °C; not ok outside of the published range.
func (l *letter) temperatureC(mv float64) (t float64, ok bool) {
	for i := range l.inverse {
		g := &l.inverse[i]
		if !(mv >= g.leastMV-edgeSlackMV && mv <= g.mostMV+edgeSlackMV) {
			continue
		}
		for j := len(g.d) - 1; j >= 0; j-- {
			t = t*mv + g.d[j]
		}
		for range newtonSteps {
			e, slope := l.at(t)
			t -= (e - mv) / slope
		}
		return t, true
	}
	return math.NaN(), false
}

// JunctionK is the temperature of the measuring junction in K when the
// meter sees volts and its terminals are at coldK: E(t) = V + E(cold).
func JunctionK(kind vessel.Kind, volts, coldK float64) (tempK float64, err error) {
	cold, err := EMF(kind, coldK)
	if err != nil {
		return math.NaN(), err
	}
	return TemperatureK(kind, volts+cold)
}
