package mimic

import "math"

// farEnd is the part of a long vessel that the inlet's jet does not reach. Its
// gas is compressed by what comes in behind it, so that it warms as gas does
// that is compressed without mixing, dT/dt = (γ−1)/γ · T/p · dp/dt, less what
// it gives to its own wall, and mixes with the rest but slowly. A nil farEnd is
// a vessel whose gas is one.
type farEnd struct {
	share  float64
	mixS   float64
	wall   *wall
	gasK   float64 // its gas
	overK  float64 // the same minus the mean
	pastPa float64 // absolute pressure of the step before
	areaM2 float64 // of each station
	ua     [anglesN]float64
	inW    [anglesN]float64
	outW   [anglesN]float64
}

func newFarEnd(t *Truth, startK float64) *farEnd {
	if !(t.Rough.FarShare > 0) {
		return nil
	}
	return &farEnd{
		share: t.Rough.FarShare, mixS: math.Max(t.Rough.FarMixS, 1), gasK: startK,
		wall: newWall(t, startK, t.Weather.SunHighRad, stepS), areaM2: t.wallAreaM2() / anglesN * t.Rough.FarShare,
	}
}

// nearK is what the gas near the inlet stands above the mean.
func (f *farEnd) nearK() float64 {
	if f == nil {
		return 0
	}
	return -f.overK * f.share / (1 - f.share)
}

// contacts brings the far gas to this step and gives the conductance to its
// wall, W/K, alone and times the mean gas temperature at which it is in balance.
func (f *farEnd) contacts(s *Simulator, in *insideGas) (ua, uaT float64) {
	if f == nil {
		return 0, 0
	}
	p := s.absPa()
	if f.pastPa == 0 {
		f.pastPa = p
	}
	gas := f.gasK
	still := *in
	still.jetWM2K = 0
	sum, sumT := 0.0, 0.0
	for j := range anglesN {
		local := gas + s.layerAt(j)
		hi := still.coefficient(local-f.wall.inK[j], s.angleFactor(j, local))
		f.ua[j] = f.areaM2 / (1/hi + 1/f.wall.faceWM2K())
		sum += f.ua[j]
		sumT += f.ua[j] * (f.wall.tempK[j][0] - s.layerAt(j))
	}
	_, cv, _ := s.law.energy(s.rho(), s.gasK)
	heat := s.massKg * f.share * (cv + s.law.rJKgK)
	f.gasK += (gamma-1)/gamma*gas*(p-f.pastPa)/p - (sum*gas-sumT)*stepS/heat
	f.gasK += (s.gasK - f.gasK) * stepS / f.mixS
	f.pastPa, f.overK = p, f.gasK-s.gasK
	return sum, sumT - sum*f.overK
}

// heatWall moves the heat of a step into the far wall, with the mean gas at endK,
// and gives it, J.
func (f *farEnd) heatWall(s *Simulator, endK float64) (lostJ float64) {
	if f == nil {
		return 0
	}
	for j := range anglesN {
		q := f.ua[j] * (endK + f.overK + s.layerAt(j) - f.wall.tempK[j][0])
		lostJ += q * stepS
		f.inW[j] = q / f.areaM2
	}
	return lostJ
}

// step loses heat to the outside and moves the wall on.
func (f *farEnd) step(s *Simulator) {
	if f == nil {
		return
	}
	for j := range anglesN {
		f.outW[j] = s.leaves(j, f.wall.outK[j]) * f.wall.outOverI
		s.ledger.wallToOutsideJ += f.outW[j] * stepS * f.areaM2
	}
	f.wall.step(&f.inW, &f.outW)
}
