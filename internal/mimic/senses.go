package mimic

import (
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// senses is what the sensors' own bodies are at: they lag what they watch.
type senses struct {
	beadK    float64
	farBeadK float64 // of a gas probe at the end away from the inlet
	ambientK float64
	blockK   float64 // terminal block with the cold junctions
	skinK    [vessel.ChannelsMost]float64
	station  [vessel.ChannelsMost]int // profile station of each channel, −1 none
	stations []spot                   // where each profile station lies
}

const (
	ambientLagS = 30
	blockLagS   = 400 // a box in the shade follows the day slowly
	blockWarmK  = 3   // its own electronics warm it
	beadHeatJM3 = 3.7e6
	gasSwayMS   = 0.08 // gas never quite stands still
)

// newSenses ties the channels to places: a station named sun looks at the
// sun, shade away from it, others lie evenly between.
func newSenses(p *vessel.Profile, t *Truth, s *Simulator) *senses {
	n := &senses{beadK: s.gasK, farBeadK: s.gasK, ambientK: s.air.ambientK, blockK: s.air.ambientK + 1}
	for i := range p.Stations {
		n.stations = append(n.stations, spotOf(p, i, &t.Rough))
	}
	for i := range n.station {
		n.station[i] = -1
		n.skinK[i] = s.air.ambientK
	}
	for i, c := range p.Channels {
		if c.Role != vessel.RoleWall || i >= vessel.ChannelsMost {
			continue
		}
		n.station[i] = max(p.StationIndex(c.Station), 0)
	}
	return n
}

// step lets the sensors follow for dt.
func (n *senses) step(s *Simulator, dt float64) {
	n.beadK += s.beadRateKS(n.beadK, false) * dt
	n.farBeadK += s.beadRateKS(n.farBeadK, true) * dt
	// A shaded but not perfectly shielded sensor.
	shielded := s.air.ambientK + 0.4*s.air.sunWM2/1000
	n.ambientK += (shielded - n.ambientK) * dt / ambientLagS
	n.blockK += (s.air.ambientK + blockWarmK - n.blockK) * dt / blockLagS
	follow := 1 - math.Exp(-dt/s.truth.Sensors.SkinLagS)
	for i, at := range n.station {
		if at < 0 {
			continue
		}
		outK := s.place(at).outK
		aim := outK + s.truth.Sensors.SkinStem*(s.air.ambientK-outK)
		n.skinK[i] += (aim - n.skinK[i]) * follow
	}
}

// beadRateKS is how fast a gas probe's bead warms, at the far end or not: convection
// from the gas about it, radiation from the wall, conduction along its stem.
func (s *Simulator) beadRateKS(beadK float64, far bool) float64 {
	t := &s.truth.Sensors
	rho := s.rho()
	wallK := s.wall.meanInK()
	local := s.gasK + s.layerK*t.BeadHeight
	h := sphereWM2K(s.law, rho, s.gasK, s.gasSpeedMS(rho, wallK), t.BeadM)
	radiation := 4 * t.BeadEmittance * stefanBoltzman * wallK * wallK * wallK
	if far && s.far != nil {
		local += s.far.overK
	} else {
		local += s.far.nearK()
	}
	if s.inKgS > 0 && !far { // a bead near the inlet sees some of the jet
		local += s.truth.Rough.BeadInlet * (s.supply.deliverK - local)
	}
	aim := local + t.BeadStem*(wallK-local) + s.truth.Rough.BeadFitting*(s.air.ambientK-local)
	// A sphere: area over volume is 6/d.
	return (h*(aim-beadK) + radiation*(wallK-beadK)) * 6 / (t.BeadM * beadHeatJM3)
}

// gasSpeedMS is the speed at the bead: buoyant √(gβΔT D), the through flow
// stirred up by the inlet jet, and a little always (order of magnitude, no
// source).
func (s *Simulator) gasSpeedMS(rho, wallK float64) float64 {
	d := s.truth.InnerDiameterM
	buoyant := 0.3 * math.Sqrt(gravityMS2*math.Abs(s.gasK-wallK)/s.gasK*d)
	jet := 3 * s.jetKgS / (rho * math.Pi / 4 * d * d)
	return gasSwayMS + buoyant + jet
}

// FlickerS is how long a dying thermocouple makes and breaks contact before it
// is open for good.
const FlickerS = 12

// Failure is a sensor that dies at AtS.
type Failure struct {
	Role vessel.Role
	AtS  float64
}

// failed is what a channel's value becomes by the failures in force.
func (n *instrument) failed(c *vessel.Channel, timeS float64, v int32) int32 {
	for k := range n.failures {
		f := &n.failures[k]
		if f.Role != c.Role || timeS < f.AtS {
			continue
		}
		if gone := min((timeS-f.AtS)/FlickerS, 1); n.r.Float64() < math.Sqrt(gone) {
			v = wire.ValueMissing
		}
	}
	return v
}
