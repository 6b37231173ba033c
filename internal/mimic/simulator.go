package mimic

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
)

// stepS is the integrator's fixed step; weather and outside convection are
// renewed every weatherSteps of them.
const (
	stepS        = 0.025
	weatherSteps = 10
	jetMemoryS   = 2.0 // how long the gas keeps stirring after the inflow ends
	stratifyS    = 8.0 // how fast layers form and vanish
)

// Simulator runs a pretended vessel. Not safe for use by several goroutines.
type Simulator struct {
	truth    Truth
	profile  *vessel.Profile
	law      *gasLaw
	operator Operator
	sky      *sky
	wall     *wall
	far      *farEnd // nil: the gas is one
	supply   *supply
	valve    *regulator
	sensors  *senses
	adviser  Adviser
	bath     *Bath // nil: the sensors are where the profile says
	water    waterPool
	wrap     wrap

	steps   int64
	debtS   float64 // time asked for and not yet stepped
	air     air
	hOut    float64
	sunW    [anglesN]float64 // sunlight taken up by each station, W/m² of skin
	aroundK [anglesN]float64 // radiant surroundings of each station
	windAt  [anglesN]float64 // outside film of each station over the mean
	massKg  float64
	energyJ float64
	gasK    float64
	jetKgS  float64 // inflow with the memory of the stirring
	layerK  float64 // top minus middle of the gas
	hIn     float64 // mean, for the record
	inKgS   float64
	outKgS  float64
	leakKgS float64
	leaking bool
	command Valve
	ledger  ledger
	inW     [anglesN]float64
	outW    [anglesN]float64
}

// ledger sums what crossed the vessel's borders, to check that it closes.
type ledger struct {
	inKg, outKg    float64
	inJ, outJ      float64 // enthalpy carried
	toWallJ        float64 // gas to wall
	toWaterJ       float64 // gas to water
	waterWallJ     float64 // water to wall
	wallToOutsideJ float64 // net, sunlight counted as negative
}

// NewSimulator readies a vessel, vented and in balance with the pad: it has
// stood in the sun for settleS before time 0.
func NewSimulator(p *vessel.Profile, sc Scene, o Options) (*Simulator, error) {
	t, err := o.truthFor(p, sc)
	if err != nil {
		return nil, err
	}
	s := &Simulator{truth: t, profile: p, law: lawOf(t.Gas), operator: sc.operatorFor(p, &o), adviser: o.Adviser, bath: sc.Bath}
	s.sky = newSky(t.Weather, o.Seed)
	s.air = s.sky.advance(0, 1)
	s.wall = newWall(&s.truth, s.air.ambientK, t.Weather.SunHighRad, stepS)
	for j, angle := range s.wall.angleRad {
		s.windAt[j] = t.Weather.windAt(angle)
	}
	s.far = newFarEnd(&s.truth, s.air.ambientK)
	s.supply = newSupply(&s.truth, s.law, s.air.ambientK)
	s.valve = newRegulator(&s.truth, o.Seed)
	s.gasK = s.air.ambientK
	rho := s.law.densityKgM3(t.AmbientPa, s.gasK)
	s.massKg = rho * t.gasVolumeM3()
	u, _, _ := s.law.energy(rho, s.gasK)
	s.energyJ = s.massKg * u
	s.water = newWaterPool(&s.truth, s.gasK)
	s.wrap = newWrap(&s.truth)
	s.sensors = newSenses(p, &s.truth, s)
	s.settle(sc.standS())
	return s, nil
}

// settle lets the vessel stand vented before the run begins; the wall starts
// near the balance of sun and wind, so that little time is needed.
func (s *Simulator) settle(forS float64) {
	s.command = Valve{Action: Open}
	if forS > 0 {
		s.soak()
	}
	for range int(forS / stepS) {
		s.step(false)
	}
	s.steps, s.ledger = 0, ledger{}
	s.wrap.kept = false
}

// soak puts each station at its sol-air temperature, by a few rounds of
// fixed-point iteration.
func (s *Simulator) soak() {
	t := &s.truth
	for range 4 {
		mean := s.outsideFilm()
		for j := range anglesN {
			h := mean * s.windAt[j]
			around := s.sky.surroundingsK(s.air, s.wall.angleRad[j])
			mid := (s.wall.outK[j] + around) / 2
			hr := 4 * t.Emittance * stefanBoltzman * mid * mid * mid
			sun := s.sky.absorbedWM2(s.air, s.wall.angleRad[j], t.Absorptance)
			// What evaporates, and by how much more of a warmer skin.
			wet := s.wrap.takesWM2(j, s.wall.outK[j], h)
			more := s.wrap.takesWM2(j, s.wall.outK[j]+1, h) - wet
			s.wall.set(j, (h*s.air.ambientK+hr*around+sun-wet+more*s.wall.outK[j])/(h+hr+more))
			if s.far != nil {
				s.far.wall.set(j, s.wall.outK[j])
			}
		}
	}
	for i, at := range s.sensors.station {
		if at >= 0 {
			s.sensors.skinK[i] = s.place(at).outK
		}
	}
}

// TimeS is the time since the run began.
func (s *Simulator) TimeS() float64 { return float64(s.steps) * stepS }

// Step moves the vessel on by dtS in fixed small steps; what is left over is
// kept for the next call.
func (s *Simulator) Step(dtS float64) {
	s.debtS += dtS
	for s.debtS >= stepS-1e-9 {
		s.debtS -= stepS
		s.step(true)
	}
}

// step is one step of everything. With operated false the valve stays put.
func (s *Simulator) step(operated bool) {
	if s.steps%weatherSteps == 0 {
		s.renew()
	}
	if operated {
		s.command = s.operator.Command(View{TimeS: s.TimeS(), PressurePa: s.gaugePa()})
	}
	inH := s.flows()
	s.exchange(inH)
	s.outside()
	s.wall.step(&s.inW, &s.outW)
	s.far.step(s)
	s.sensors.step(s, stepS)
	s.steps++
}

// renew brings the weather and what changes as slowly up to date.
func (s *Simulator) renew() {
	const dt = stepS * weatherSteps
	s.air = s.sky.advance(s.TimeS(), dt)
	s.valve.sway(dt)
	s.hOut = s.outsideFilm()
	for j, angle := range s.wall.angleRad {
		s.sunW[j] = s.sky.absorbedWM2(s.air, angle, s.truth.Absorptance)
		s.aroundK[j] = s.sky.surroundingsK(s.air, angle)
	}
}

// outsideFilm is the convection outside, W/(m² K), in the air of now.
func (s *Simulator) outsideFilm() float64 {
	h := outsideWM2K(s.truth.InnerDiameterM+2*s.truth.ThicknessM, s.air.windMS, s.wall.meanOutK(), s.air.ambientK)
	if by := s.truth.Rough.OutsideTimes; by > 0 {
		h *= by
	}
	return h
}

// rho is the gas density.
func (s *Simulator) rho() float64 { return s.massKg / s.truth.gasVolumeM3() }

// absPa is the pressure of the gas; gaugePa the same over ambient.
func (s *Simulator) absPa() float64   { return s.law.pressurePa(s.rho(), s.gasK) }
func (s *Simulator) gaugePa() float64 { return s.absPa() - s.truth.AmbientPa }

// outside finds the flux that leaves each station outwards.
func (s *Simulator) outside() {
	t := &s.truth
	for j := range anglesN {
		s.wrap.dry(j, s.wrap.takesWM2(j, s.wall.outK[j], s.hOut*s.windAt[j]), stepS)
		s.outW[j] = s.leaves(j, s.wall.outK[j]) * s.wall.outOverI
		s.ledger.wallToOutsideJ += s.outW[j] * stepS * t.wallAreaM2() / anglesN * (1 - t.Rough.FarShare)
	}
}

// leaves is the flux from a skin of skinK at station j to the outside, W/m².
func (s *Simulator) leaves(j int, skinK float64) float64 {
	around, h := s.aroundK[j], s.hOut*s.windAt[j]
	return h*(skinK-s.air.ambientK) +
		s.truth.Emittance*stefanBoltzman*(skinK*skinK*skinK*skinK-around*around*around*around) - s.sunW[j] +
		s.wrap.takesWM2(j, skinK, h)
}

// truthFor is the vessel of a scene under these options, checked.
func (o *Options) truthFor(p *vessel.Profile, sc Scene) (Truth, error) {
	t := NewTruth(p)
	if o.Truth != nil {
		t = *o.Truth
	}
	if sc.Set != nil {
		sc.Set(&t)
	}
	for _, c := range []struct {
		what  string
		value float64
	}{
		{"inner diameter", t.InnerDiameterM}, {"length", t.LengthM},
		{"gas volume", t.gasVolumeM3()}, {"wall thickness", t.ThicknessM},
		{"wall density", t.DensityKgM3}, {"wall specific heat", t.SpecificHeatJKgK},
		{"wall conductivity", t.ConductivityWMK}, {"inlet diameter", t.InletDiameterM},
		{"part of the length near the inlet", 1 - t.Rough.FarShare}, {"supply volume", t.Supply.VolumeM3}, {"ambient pressure", t.AmbientPa},
		{"bead diameter", t.Sensors.BeadM}, {"skin sensor lag", t.Sensors.SkinLagS},
	} {
		if !(c.value > 0) || math.IsInf(c.value, 0) {
			return t, fmt.Errorf("mimic: scene %q on vessel %q: %s is %g, must be more than 0",
				sc.Name, p.Name, c.what, c.value)
		}
	}
	return t, nil
}
