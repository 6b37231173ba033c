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

// walls takes every side's wall on, and what the water takes, linear in the mean gas temperature.
func (m *Model) walls(s *State, c *coefficients, stir filmState, dtS float64, out *[SidesMost]wallStep) (filmWK, heatBaseJ, heatGainJK float64) {
	for i := 0; i < m.Sides; i++ {
		film := c.film(stir, s.GasK-s.Wall[i][0])
		w := newSlab(m.Cells, m.AreaHeatJM2K*c.heat, m.ThicknessM, m.ConductivityWMK*c.conduct, film, c.outside, s.OutK[i])
		w.step(&s.Wall[i], dtS, &out[i])
		area := m.areaM2(c, i)
		filmWK += w.inside * area
		heatBaseJ += out[i].heatBase * area
		heatGainJK += out[i].heatGain * area
	}
	if m.WaterJK > 0 {
		wetWK, shareJK := m.wet(s, c, stir, dtS)
		filmWK += wetWK
		heatBaseJ -= shareJK * s.WaterK
		heatGainJK += shareJK
	}
	return filmWK, heatBaseJ, heatGainJK
}

// gasStep is the gas of a step: at its end, its mean, the mean beyond the jet's
// reach, and what comes in.
type gasStep struct{ endK, meanK, farK, inK, ambientK, dtS float64 }

// finish puts the walls, the bead and the skin sensors to the end of a step.
func (m *Model) finish(s *State, c *coefficients, stir filmState, steps *[SidesMost]wallStep, g gasStep, f *Flow) {
	startK, endK, meanK := s.GasK, g.endK, g.meanK
	nearK := m.nearK(s, c, meanK, g.farK)
	m.excess(s, c, stir, meanK, g.dtS)
	m.farWall(s, c, stir, meanK, g.farK, g.dtS)
	half, last := m.halfCell(c), m.Cells-1
	var before, after [SidesMost]float64
	var wallM2K, allM2 float64
	for i := 0; i < m.Sides; i++ {
		before[i] = m.outerFace(c, s.OutK[i], s.Wall[i][last], half)
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = steps[i].base[j] + nearK*steps[i].gain[j]
		}
		after[i] = m.outerFace(c, s.OutK[i], s.Wall[i][last], half)
		area := m.areaM2(c, i)
		f.OutJ += area * (steps[i].outBase + nearK*steps[i].outGain)
		wallM2K, allM2 = wallM2K+area*s.Wall[i][0], allM2+area
	}
	m.skins(s, c, stir, &before, &after, g.ambientK, g.dtS)
	if m.WaterJK > 0 {
		_, shareJK := m.wet(s, c, stir, g.dtS)
		s.WaterK += shareJK / m.WaterJK * (meanK - s.WaterK)
	}
	// Stem and radiation draw the bead to the fitting and the wall.
	keeps, draws := 1-c.beadLoss, c.beadLoss*wallM2K/allM2
	beside := m.beadBesideK(s, c, meanK, g.farK, g.inK, f.InflowKgS)
	s.BeadK = Lag(s.BeadK, keeps*(startK+beside)+draws, keeps*(endK+beside)+draws, g.dtS, c.beadS(stir))
	s.GasK = endK
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
	e := math.Exp(-dtS / tauS)
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
	return 1/(-math.Expm1(-z)) - 1/z
}

const (
	newtonMost = 12
	newtonK    = 1e-6 // K; the balance then closes to far under 1e-6
)

// StepOpen takes the vessel dtS on while its absolute pressure goes from
// p1Pa to p2Pa: whatever gas that takes flows in at inflow temperature, or
// out at the vessel's own. Energy and mass balance
//
//	m2 u2 − m1 u1 = Δm h − Q,   m = ρ(p, T) V
//
// (first law for an open system, any thermodynamics text).
func (m *Model) StepOpen(s *State, p *Params, p1Pa, p2Pa, ambientK, dtS float64) Flow {
	c := p.coefficients()
	return m.stepOpen(s, &c, p1Pa, p2Pa, ambientK, dtS)
}

func (m *Model) stepOpen(s *State, c *coefficients, p1Pa, p2Pa, ambientK, dtS float64) Flow {
	fl := m.Fluid
	rho1 := m.densityAt(s, p1Pa)
	u1 := fl.UJKg(s.GasK, rho1)
	pMid := 0.5 * (p1Pa + p2Pa)
	// The inflow that the jet term sees follows from the pressure alone.
	inKgS := math.Max(0, m.VolumeM3*(p2Pa-p1Pa)/(heatRatio*fl.SpecificGasConstant()*s.GasK*dtS))
	stir := c.filmState(rho1*pMid/p1Pa, inKgS)
	var steps [SidesMost]wallStep
	filmWK, q0, q1 := m.walls(s, c, stir, dtS, &steps)
	inK := m.InletK(s, pMid, ambientK) + c.inflowK
	hIn := fl.HJKg(inK, fl.DensityKgM3(inK, pMid))
	hOut := u1 + p1Pa/rho1
	cv := fl.CvJKgK(s.GasK, rho1)
	theta := meanWeight(dtS * filmWK / (rho1 * m.VolumeM3 * cv * heatRatio))
	f := Flow{InflowKgS: inKgS, PressurePa: p2Pa}
	t1, t2 := s.GasK, s.GasK
	for i := 0; i < newtonMost; i++ {
		rho2 := fl.DensityKgM3(t2, p2Pa)
		u2 := fl.UJKg(t2, rho2)
		f.InKg = m.VolumeM3 * (rho2 - rho1)
		h := hIn
		if f.InKg < 0 {
			h = 0.5 * (hOut + u2 + p2Pa/rho2)
		}
		f.WallJ = q0 + q1*((1-theta)*t1+theta*t2)
		f.FlowJ = f.InKg * h
		f.DensityKgM3, f.MassKg = rho2, rho2*m.VolumeM3
		s.known = density{t2, p2Pa, rho2}
		r := m.VolumeM3*(rho2*u2-rho1*u1) - f.FlowJ + f.WallJ
		slope := m.VolumeM3*(rho2*cv-rho2/t2*(u2-h)) + theta*q1
		dt := -r / slope
		if math.Abs(dt) < newtonK {
			break
		}
		t2 = math.Min(math.Max(t2+dt, 0.7*t2), 1.4*t2)
	}
	g := gasStep{endK: t2, meanK: (1-theta)*t1 + theta*t2, inK: inK, ambientK: ambientK, dtS: dtS}
	g.farK = m.farGas(s, c, stir, rho1, cv, p1Pa, p2Pa, t2, dtS)
	m.finish(s, c, stir, &steps, g, &f)
	return f
}

// heatRatio is cp/cv of a diatomic gas, where an estimate will do.
const heatRatio = 1.4

// StepClosed takes the shut vessel dtS on from p1Pa: the mass stays, and the
// pressure follows.
func (m *Model) StepClosed(s *State, p *Params, p1Pa, ambientK, dtS float64) Flow {
	c := p.coefficients()
	return m.stepClosed(s, &c, p1Pa, ambientK, dtS)
}

func (m *Model) stepClosed(s *State, c *coefficients, p1Pa, ambientK, dtS float64) Flow {
	fl := m.Fluid
	rho := m.densityAt(s, p1Pa)
	u1, cv := fl.UJKg(s.GasK, rho), fl.CvJKgK(s.GasK, rho)
	stir := c.filmState(rho, 0)
	var steps [SidesMost]wallStep
	filmWK, q0, q1 := m.walls(s, c, stir, dtS, &steps)
	mass := rho * m.VolumeM3
	theta := meanWeight(dtS * filmWK / (mass * cv))
	f := Flow{MassKg: mass, DensityKgM3: rho}
	t1, t2 := s.GasK, s.GasK
	for i := 0; i < newtonMost; i++ {
		f.WallJ = q0 + q1*((1-theta)*t1+theta*t2)
		r := mass*(fl.UJKg(t2, rho)-u1) + f.WallJ
		dt := -r / (mass*cv + theta*q1)
		if math.Abs(dt) < newtonK {
			break
		}
		t2 = math.Min(math.Max(t2+dt, 0.7*t2), 1.4*t2)
	}
	f.PressurePa = fl.PressurePa(t2, rho)
	g := gasStep{endK: t2, meanK: (1-theta)*t1 + theta*t2, inK: ambientK, ambientK: ambientK, dtS: dtS}
	g.farK = m.farGas(s, c, stir, rho, cv, p1Pa, f.PressurePa, t2, dtS)
	m.finish(s, c, stir, &steps, g, &f)
	s.known = density{t2, f.PressurePa, rho}
	return f
}
