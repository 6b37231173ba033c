package mimic

// flows sets the mass flows of this step from the command and the pressures,
// and gives the enthalpy of the inflow, J/kg.
func (s *Simulator) flows() (inEnthalpyJKg float64) {
	t := &s.truth
	p, rho, ambient := s.absPa(), s.rho(), t.AmbientPa
	perPa := t.gasVolumeM3() / (1.2 * s.law.rJKgK * s.gasK)
	s.inKgS, s.outKgS, s.leakKgS = 0, 0, 0
	switch s.command.Action {
	case Fill:
		most := orificeKgS(t.ValveAreaM2, s.supply.absPa(), s.supply.rho(), p)
		s.inKgS = s.valve.flow(s.command, p, perPa, most, stepS)
	case Vent, Open:
		most := orificeKgS(t.VentAreaM2, p, rho, ambient)
		s.outKgS = s.valve.flow(s.command, p, perPa, most, stepS)
	default:
		s.valve.flow(s.command, p, perPa, 0, stepS)
	}
	if p-ambient >= t.LeakOpensPa {
		s.leaking = true
	}
	if s.leaking {
		s.leakKgS = orificeKgS(t.LeakAreaM2, p, rho, ambient)
	}
	// A step must not carry the pressure past ambient.
	limit := max(p-ambient, 0) * t.gasVolumeM3() / (gamma * s.law.rJKgK * s.gasK) / stepS
	if out := s.outKgS + s.leakKgS; out > limit && out > 0 {
		s.outKgS *= limit / out
		s.leakKgS *= limit / out
	}
	inEnthalpyJKg = s.supply.draw(s.inKgS, p, s.air.ambientK, stepS)
	if s.command.Action == Open && p < ambient { // breathes in through the open vent
		most := (ambient - p) * t.gasVolumeM3() / (gamma * s.law.rJKgK * s.gasK) / stepS
		rhoAir := s.law.densityKgM3(ambient, s.air.ambientK)
		s.inKgS = min(orificeKgS(t.VentAreaM2, ambient, rhoAir, p), most)
		inEnthalpyJKg = s.law.enthalpyJKg(rhoAir, s.air.ambientK)
	}
	return inEnthalpyJKg
}

// exchange moves the gas by one step: mass and enthalpy by the flows, heat to
// wall and water. The heat is found with the gas temperature at the end of
// the step (linearised), which stays stable when little gas meets a large
// wall; the same heat is booked on both sides, so energy closes.
func (s *Simulator) exchange(inH float64) {
	t := &s.truth
	rho := s.rho()
	u, cv, slope := s.law.energy(rho, s.gasK)
	h := u + s.absPa()/rho
	dmIn, dmOut := s.inKgS*stepS, (s.outKgS+s.leakKgS)*stepS
	s.jetKgS += (s.inKgS - s.jetKgS) * stepS / jetMemoryS
	in := newInsideGas(t, s.law, rho, s.gasK, s.jetKgS)
	s.layer(&in)
	area := t.wallAreaM2() / anglesN * (1 - t.Rough.FarShare)
	ua, pool := s.contacts(&in, area)
	sum, sumT := pool, pool*s.water.tempK
	for j := range anglesN {
		sum += ua[j]
		sumT += ua[j] * (s.wall.tempK[j][0] - s.layerAt(j) - s.far.nearK())
	}
	farUA, farUAT := s.far.contacts(s, &in)
	sum, sumT = sum+farUA, sumT+farUAT

	heat := s.massKg * cv
	free := s.gasK + ((inH-u)*dmIn-(h-u)*dmOut-slope*rho*(dmIn-dmOut))/heat
	end := (free + sumT*stepS/heat) / (1 + sum*stepS/heat)

	lost := 0.0
	for j := range anglesN {
		q := ua[j] * (end + s.layerAt(j) + s.far.nearK() - s.wall.tempK[j][0])
		lost += q * stepS
		s.inW[j] = q / area
	}
	lost += s.far.heatWall(s, end)
	s.ledger.toWallJ += lost
	toPool := pool * (end - s.water.tempK) * stepS
	s.ledger.toWaterJ += toPool
	s.ledger.waterWallJ += s.water.step(toPool, area, &s.wall.tempK, &s.inW)
	s.book(dmIn, dmOut, inH, h, lost+toPool)
}

// contacts are the conductances from the gas to the first cell of each
// station and to the water, W/K.
func (s *Simulator) contacts(in *insideGas, areaM2 float64) (ua [anglesN]float64, pool float64) {
	sum := 0.0
	for j := range anglesN {
		local := s.gasK + s.layerAt(j) + s.far.nearK()
		hi := in.coefficient(local-s.wall.inK[j], s.angleFactor(j, local))
		sum += hi
		ua[j] = areaM2 * (1 - s.water.wet[j]) / (1/hi + 1/s.wall.faceWM2K())
	}
	s.hIn = sum / anglesN
	if s.water.surfaceM2 > 0 {
		pool = s.water.surfaceM2 * in.coefficient(s.gasK-s.water.tempK, 1)
	}
	return ua, pool
}

// book applies a step's flows and heat to the gas and to the ledger.
func (s *Simulator) book(dmIn, dmOut, inH, h, lostJ float64) {
	s.massKg += dmIn - dmOut
	s.energyJ += dmIn*inH - dmOut*h - lostJ
	s.gasK = s.law.temperatureK(s.rho(), s.energyJ/s.massKg, s.gasK)
	l := &s.ledger
	l.inKg += dmIn
	l.outKg += dmOut
	l.inJ += dmIn * inH
	l.outJ += dmOut * h
}

// layer lets the gas settle into layers while little stirs it: the warm gas
// at the top when it is warmer than the wall. A jet mixes it.
func (s *Simulator) layer(in *insideGas) {
	diff := s.gasK - s.wall.meanInK()
	natural := in.coefficient(diff, 1) - in.jetWM2K
	still := natural / (natural + 4*in.jetWM2K)
	aim := diff * (s.truth.Stratification*still + s.truth.Rough.FillLayers*(1-still))
	s.layerK += (aim - s.layerK) * stepS / stratifyS
}

// layerAt is the gas at station j minus the middle. An upright vessel has its
// layers one above the other, the same at each station around.
func (s *Simulator) layerAt(j int) float64 {
	if s.truth.Upright {
		return 0
	}
	return s.layerK * s.wall.upSin[j]
}

// angleFactor is how natural convection differs around a lying vessel: less
// where warm gas lies above cold gas at rest (common practice, no source).
func (s *Simulator) angleFactor(j int, localK float64) float64 {
	if s.truth.Upright {
		return 1
	}
	up := s.wall.upSin[j]
	if localK < s.wall.inK[j] {
		up = -up
	}
	return 1 + 0.12*up
}
