package thermal

import "math"

// Flow is what went in and out during a step.
type Flow struct {
	MassKg    float64 // gas in the vessel after the step
	InKg      float64 // inflow, negative: outflow
	InflowKgS float64 // inflow rate, never negative
	WallJ     float64 // heat from gas to wall and water
	OutJ      float64 // heat from wall to the outside
	FlowJ     float64 // enthalpy that the flow carried in
	DensityKgM3,
	PressurePa float64 // after the step, absolute
}

// step is a step of the vessel with what it was made of: the gas at its start
// and what flows in, the film, the walls, and the gas over it. One taken beside
// it, from a state that differs in little, works out anew only what differs.
type step struct {
	noBead  bool // nobody asks the gas probe, as in a forecast
	noSkins bool // … or the skin sensors
	start   gasPoint
	inflow  inflowPoint
	film    filmState
	slab    factors
	walls   [SidesMost]wallRun
	gas     gasStep
	flow    Flow
}

// gasPoint is gas at a temperature and absolute pressure.
type gasPoint struct{ tempK, pressurePa, kgM3, uJKg, cvJKgK float64 }

// inflowPoint is what comes in.
type inflowPoint struct{ tempK, pressurePa, kgM3, hJKg float64 }

// gasStep is the gas of a step: at both its ends, its mean, the same beyond the
// jet's reach, and what comes in.
type gasStep struct{ startK, endK, meanK, farEndK, farK, inK, ambientK, dtS float64 }

// begin sets the gas at the start of a step.
func (t *step) begin(m *Model, s *State, pPa float64) {
	if t.start.tempK != s.GasK || t.start.pressurePa != pPa {
		rho := m.densityAt(s, pPa)
		t.start = gasPoint{s.GasK, pPa, rho, m.Fluid.UJKg(s.GasK, rho), m.Fluid.CvJKgK(s.GasK, rho)}
	}
}

// stepWalls takes every side's wall on, and what the water takes, linear in the mean gas temperature.
func (t *step) stepWalls(m *Model, s *State, c *coefficients, dtS float64) (filmWK, heatBaseJ, heatGainJK float64) {
	t.slab.of(newSlab(m.Cells, m.AreaHeatJM2K*c.heat, m.ThicknessM, m.ConductivityWMK*c.conduct, c.outside, dtS))
	for i := 0; i < m.Sides; i++ {
		w, area := &t.walls[i], m.areaM2(c, i)
		w.run(&t.slab, c.film(t.film, s.GasK-s.Wall[i][0]), s.OutK[i], &s.Wall[i])
		filmWK += w.inside * area
		heatBaseJ += w.heatBase * area
		heatGainJK += w.heatGain * area
	}
	if m.WaterJK > 0 {
		wetWK, shareJK := m.wet(s, c, t.film, dtS)
		filmWK += wetWK
		heatBaseJ -= shareJK * s.WaterK
		heatGainJK += shareJK
	}
	return filmWK, heatBaseJ, heatGainJK
}

// finish puts the state to the end of a step: walls, bead, skin sensors, gas.
func (t *step) finish(m *Model, s *State, c *coefficients) {
	g := &t.gas
	s.FarGasK = g.farEndK
	wallK := m.meanWallK(s, c)
	nearK := m.nearK(c, g.meanK, g.farK, wallK)
	m.excess(s, c, t.film, g.meanK-wallK, g.dtS)
	m.farWall(s, c, t.film, g.meanK, g.farK, wallK, g.dtS)
	half, last := m.halfCell(c), m.Cells-1
	var before, after [SidesMost]float64
	t.flow.OutJ = 0
	for i := 0; i < m.Sides; i++ {
		w := &t.walls[i]
		before[i] = m.outerFace(c, s.OutK[i], s.Wall[i][last], half)
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = w.base[j] + nearK*w.gain[j]
		}
		after[i] = m.outerFace(c, s.OutK[i], s.Wall[i][last], half)
		t.flow.OutJ += m.areaM2(c, i) * (w.outBase + nearK*w.outGain)
	}
	if m.WaterJK > 0 {
		_, shareJK := m.wet(s, c, t.film, g.dtS)
		s.WaterK += shareJK / m.WaterJK * (g.meanK - s.WaterK)
	}
	wallK = m.meanWallK(s, c)
	if !t.noSkins {
		m.skins(s, c, t.film, wallK, &before, &after, g)
	}
	if !t.noBead {
		m.beads(s, c, g, t.film, wallK, t.flow.InflowKgS)
	}
	s.GasK = g.endK
}

// Lag is the exact answer of a first-order lag of time constant tauS to an
// input that goes in a straight line from fromK to toK in dtS
// (textbook: y = u − τu' + C exp(−t/τ)).
func Lag(y, fromK, toK, dtS, tauS float64) float64 {
	if dtS <= 0 {
		return y
	}
	if tauS < 1e-6*dtS {
		return toK
	}
	e := exp(-dtS / tauS)
	slope := (toK - fromK) / dtS
	return toK - slope*tauS + (y-fromK+slope*tauS)*e
}

// meanWeight is the weight of the end temperature in the mean over a step
// whose gas relaxes with z = dt/τ: exact for a plain relaxation, one half for
// small steps, one for large ones (exponential fitting).
func meanWeight(z float64) float64 {
	if z < 1e-3 {
		return 0.5 + z/12
	}
	return 1/(1-exp(-z)) - 1/z
}

const (
	newtonMost = 12
	newtonK    = 1e-6 // K, the last step, which is taken too: what is left is far less
)

// StepOpen takes the vessel dtS on while its absolute pressure goes from
// p1Pa to p2Pa: whatever gas that takes flows in at inflow temperature, or
// out at the vessel's own. Energy and mass balance
//
//	m2 u2 − m1 u1 = Δm h − Q,   m = ρ(p, T) V
//
// (first law for an open system, any thermodynamics text).
func (m *Model) StepOpen(s *State, p *Params, p1Pa, p2Pa, ambientK, dtS float64) Flow {
	r := m.Stepper(p, true)
	return r.Open(s, p1Pa, p2Pa, ambientK, dtS)
}

// Stepper takes a vessel on by many steps with the same parameters.
type Stepper struct {
	m *Model
	c coefficients
	t step
}

// Stepper makes one; without skins it leaves the skin sensors as they are.
func (m *Model) Stepper(p *Params, skins bool) Stepper {
	return Stepper{m: m, c: p.coefficients(), t: step{noSkins: !skins}}
}

// Open is StepOpen.
func (r *Stepper) Open(s *State, p1Pa, p2Pa, ambientK, dtS float64) Flow {
	return r.t.open(r.m, s, &r.c, p1Pa, p2Pa, ambientK, dtS)
}

func (t *step) open(m *Model, s *State, c *coefficients, p1Pa, p2Pa, ambientK, dtS float64) Flow {
	t.begin(m, s, p1Pa)
	fl, t1 := m.Fluid, s.GasK
	rho1, u1, cv := t.start.kgM3, t.start.uJKg, t.start.cvJKgK
	pMid := 0.5 * (p1Pa + p2Pa)
	// The inflow that the jet term sees follows from the pressure alone.
	inKgS := max(0, m.VolumeM3*(p2Pa-p1Pa)/(heatRatio*fl.SpecificGasConstant()*t1*dtS))
	t.film = c.filmState(rho1*pMid/p1Pa, inKgS)
	filmWK, q0, q1 := t.stepWalls(m, s, c, dtS)
	inK := m.InletK(s, pMid, ambientK) + c.inflowK
	if in := &t.inflow; in.tempK != inK || in.pressurePa != pMid {
		rho := fl.DensityNearKgM3(inK, pMid, in.kgM3*(pMid/in.pressurePa)*(in.tempK/inK))
		*in = inflowPoint{inK, pMid, rho, fl.HJKg(inK, rho)}
	}
	theta := meanWeight(dtS * filmWK / (rho1 * m.VolumeM3 * cv * heatRatio))
	f := &t.flow
	*f = Flow{InflowKgS: inKgS, PressurePa: p2Pa}
	var h, lastK, last float64
	t2 := t.guessK(t1, dtS)
	rho2 := rho1 * (p2Pa / p1Pa) * (t1 / t2)
	for i := range newtonMost {
		rho2 = fl.DensityNearKgM3(t2, p2Pa, rho2)
		u2 := fl.UJKg(t2, rho2)
		if h = t.inflow.hJKg; rho2 < rho1 {
			h = 0.5 * (u1 + p1Pa/rho1 + u2 + p2Pa/rho2)
		}
		r := m.VolumeM3*(rho2*(u2-h)-rho1*(u1-h)) + q0 + q1*((1-theta)*t1+theta*t2)
		slope := m.VolumeM3*(rho2*cv-rho2/t2*(u2-h)) + theta*q1
		if secant := (r - last) / (t2 - lastK); i > 0 && math.Abs(secant-slope) < 0.5*slope {
			slope = secant
		}
		lastK, last = t2, r
		t2 = min(max(t2-r/slope, 0.7*t2), 1.4*t2)
		rho2 *= lastK / t2
		if math.Abs(t2-lastK) < newtonK {
			break
		}
	}
	meanK := (1-theta)*t1 + theta*t2
	f.DensityKgM3, f.MassKg, f.InKg = rho2, rho2*m.VolumeM3, m.VolumeM3*(rho2-rho1)
	f.FlowJ, f.WallJ = f.InKg*h, q0+q1*meanK
	s.known = density{t2, p2Pa, rho2}
	t.gas = gasStep{startK: t1, endK: t2, meanK: meanK, inK: inK, ambientK: ambientK, dtS: dtS}
	t.stepFar(m, s, c, p1Pa, p2Pa)
	t.finish(m, s, c)
	return *f
}

// guessK is where to look for the end of a step first: as far on as the one
// before it, or beside it, went in its time.
func (t *step) guessK(startK, dtS float64) float64 {
	if rise := (t.gas.endK - t.gas.startK) * (dtS / t.gas.dtS); math.Abs(rise) < riseMostK {
		return startK + rise
	}
	return startK
}

// riseMostK is the greatest rise that is taken for a guess.
const riseMostK = 10.0

// heatRatio is cp/cv of a diatomic gas, where an estimate will do.
const heatRatio = 1.4

// StepClosed takes the shut vessel dtS on from p1Pa: the mass stays, and the
// pressure follows.
func (m *Model) StepClosed(s *State, p *Params, p1Pa, ambientK, dtS float64) Flow {
	c, t := p.coefficients(), step{}
	return t.closed(m, s, &c, p1Pa, ambientK, dtS)
}

func (t *step) closed(m *Model, s *State, c *coefficients, p1Pa, ambientK, dtS float64) Flow {
	t.begin(m, s, p1Pa)
	fl, t1 := m.Fluid, s.GasK
	rho, u1, cv := t.start.kgM3, t.start.uJKg, t.start.cvJKgK
	t.film = c.filmState(rho, 0)
	filmWK, q0, q1 := t.stepWalls(m, s, c, dtS)
	mass := rho * m.VolumeM3
	theta := meanWeight(dtS * filmWK / (mass * cv))
	f := &t.flow
	*f = Flow{MassKg: mass, DensityKgM3: rho}
	t2 := t1
	for range newtonMost {
		r := mass*(fl.UJKg(t2, rho)-u1) + q0 + q1*((1-theta)*t1+theta*t2)
		dt := -r / (mass*cv + theta*q1)
		t2 = min(max(t2+dt, 0.7*t2), 1.4*t2)
		if math.Abs(dt) < newtonK {
			break
		}
	}
	meanK := (1-theta)*t1 + theta*t2
	f.WallJ = q0 + q1*meanK
	f.PressurePa = fl.PressurePa(t2, rho)
	s.known = density{t2, f.PressurePa, rho}
	t.gas = gasStep{startK: t1, endK: t2, meanK: meanK, inK: ambientK, ambientK: ambientK, dtS: dtS}
	t.stepFar(m, s, c, p1Pa, f.PressurePa)
	t.finish(m, s, c)
	return *f
}
