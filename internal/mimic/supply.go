package mimic

import "math"

// supply is the cylinder that the fill comes from and the hose to the vessel.
// The gas left in the cylinder expands and cools, throttling cools it further
// (constant enthalpy), and the hose gives heat until it is cold itself.
type supply struct {
	t        SupplyTruth
	g        *gasLaw
	massKg   float64
	energyJ  float64
	gasK     float64
	shellK   float64
	hoseK    float64
	guessK   float64 // last throttled temperature, to start the next search
	toHoseJ  float64 // heat taken from the hose by the gas so far
	airJ     float64 // heat from the ambient into hose so far
	outJ     float64 // enthalpy that left the cylinder so far
	deliverK float64 // temperature at which the last gas entered the vessel
}

func newSupply(t *Truth, g *gasLaw, ambientK float64) *supply {
	s := &supply{t: t.Supply, g: g}
	s.gasK = t.Supply.TempK
	if s.gasK <= 0 {
		s.gasK = ambientK
	}
	s.shellK = s.gasK
	s.hoseK = ambientK + t.Supply.HoseWarmerK
	s.guessK, s.deliverK = s.gasK, s.hoseK
	rho := g.densityKgM3(t.Supply.GaugePa+t.AmbientPa, s.gasK)
	s.massKg = rho * t.Supply.VolumeM3
	u, _, _ := g.energy(rho, s.gasK)
	s.energyJ = s.massKg * u
	return s
}

// rho is the density in the cylinder.
func (s *supply) rho() float64 { return s.massKg / s.t.VolumeM3 }

// absPa is the pressure in the cylinder.
func (s *supply) absPa() float64 { return s.g.pressurePa(s.rho(), s.gasK) }

// draw takes flowKgS for dt towards a vessel at intoPa and gives the enthalpy
// with which it enters, J/kg.
func (s *supply) draw(flowKgS, intoPa, ambientK, dt float64) (enthalpyJKg float64) {
	h := s.g.enthalpyJKg(s.rho(), s.gasK)
	dm := flowKgS * dt
	toGas := s.t.WallWK * (s.shellK - s.gasK) * dt
	s.shellK -= toGas / s.t.WallJK
	s.energyJ += toGas - dm*h
	s.massKg -= dm
	s.outJ += dm * h
	s.gasK = s.g.temperatureK(s.rho(), s.energyJ/s.massKg, s.gasK)
	air := s.t.HoseAmbientWK * (ambientK - s.hoseK) * dt
	s.hoseK += air / s.t.HoseJK
	s.airJ += air
	if flowKgS <= 0 {
		return h
	}
	s.guessK = s.g.throttledK(h, intoPa, s.guessK)
	_, cv, _ := s.g.energy(1, s.guessK)
	capacity := flowKgS * (cv + s.g.rJKgK)
	// A stream through a passage at one temperature: effectiveness 1 − e^−NTU
	// (heat-exchanger theory, Incropera ch. 11).
	reach := 1 - math.Exp(-s.t.HoseWK/capacity)
	heatW := capacity * reach * (s.hoseK - s.guessK)
	s.hoseK -= heatW * dt / s.t.HoseJK
	s.toHoseJ += heatW * dt
	s.deliverK = s.guessK + reach*(s.hoseK-s.guessK)
	return h + heatW/flowKgS
}
