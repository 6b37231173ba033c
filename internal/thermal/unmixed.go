package thermal

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fillwright/internal/vessel"
)

// Gas that is not one. It lies in layers, the hot one on top, and in a long
// vessel the inlet's jet leaves an end unstirred. Neither changes the balance:
// what is hotter here is colder there.

// excess takes on by dtS, with the gas diff over the wall, what layers of gas make of the sunniest line's wall
// beyond what even gas would. In a lying vessel the sun is above, where the hot
// gas is, so that the gas there stands uneven times gas minus wall over the
// mean, and as much under it opposite:
//
//	C dE/dt = h (uneven (T − T_w) − E) − h_o E,
//
// the lag form of a deviation. Stations at different angles tell it.
func (m *Model) excess(s *State, c *coefficients, stir filmState, diff, dtS float64) {
	if c.uneven == 0 && s.ExcessK == 0 {
		return
	}
	settled, loss := c.excessSettledK(stir, diff)
	s.ExcessK = settled + (s.ExcessK-settled)*exp(-dtS*loss/(m.AreaHeatJM2K*c.heat))
}

// excessSettledK is where the excess by layers tends to beside gas that stands diff
// over the wall, and the conductance that takes it there, W/m²K.
func (c *coefficients) excessSettledK(stir filmState, diff float64) (settledK, lossWM2K float64) {
	film := c.film(stir, diff)
	return film * c.uneven * diff / (film + c.outside), film + c.outside
}

// meanWallK is the wall that the gas sees.
func (m *Model) meanWallK(s *State, c *coefficients) float64 {
	if m.Sides < SidesMost {
		return s.Wall[SideSun][0]
	}
	sun, shade := m.areaM2(c, SideSun), m.areaM2(c, SideShade)
	return (sun*s.Wall[SideSun][0] + shade*s.Wall[SideShade][0]) / (sun + shade)
}

// topCot is the cotangent of how high the sun stands across a lying vessel: |sin a| cot e
// for a sun e high whose beam falls at a to the vessel's axis. In the mean over a it is
// 2/π at 45°; 30° and 60° make 1.1 and 0.4 of it. How high the sun is when somebody
// fills: common practice, no source.
const topCot = 2 / math.Pi

// layeredK is what layers of gas add to the hottest place of a side, litK being what
// the sun makes of the sunniest line over the shade. The hot gas lies on top, not under
// the sun: round a lying vessel the wall stands
//
//	lit max(cos θ, 0) + E cos θ + E cot φ sin θ
//
// over one that neither heats, θ from the sunniest line towards the top, φ the sun's
// height across it, E what the layers do to that line. So the hottest line lies between the two,
// the hypotenuse of what lit + E and E cot φ make; on top, where no sun shines. Where
// the gas is the colder it falls and mixes: nothing is hotter for it. Along a standing
// vessel the hot layer stands before both sides.
func (m *Model) layeredK(side int, layerK, litK float64) float64 {
	switch {
	case m.Standing || m.Sides < SidesMost:
		return max(layerK, 0)
	case side == SideShade:
		return -layerK
	case layerK > 0:
		return layerK + besideK(layerK, litK)
	}
	return layerK
}

// besideK is by how much the hottest line stands over the sunniest one.
func besideK(layerK, litK float64) float64 {
	onLine := max(litK, 0) + layerK
	return math.Hypot(onLine, topCot*layerK) - onLine
}

// stepFar takes the gas beyond the jet's reach on while the pressure goes from
// p1Pa to p2Pa and the rest as the step says: compressed by what comes in behind
// it, cooled by its wall, and mixed with the rest in its own time,
//
//	dT_f/dt = (γ − 1)/γ T_f/p dp/dt − h A (T_f − T_w)/(ρ V c_p) − (T_f − T)/t_mix.
//
// A jet dies within some six diameters (common practice, no source).
func (t *step) stepFar(m *Model, s *State, c *coefficients, p1Pa, p2Pa float64) {
	g := &t.gas
	g.farEndK, g.farK = s.FarGasK, g.startK
	if !(m.FarShare > 0) {
		return
	}
	wallK := m.meanWallK(s, c) + s.FarK
	still := filmState{lnNatural: t.film.lnNatural}
	area := (m.AreaM2[SideSun] + m.AreaM2[SideShade]) / (m.VolumeM3 * t.start.cvJKgK * heatRatio)
	rise := ln(p2Pa / p1Pa)
	n := min(max(1, int(math.Abs(rise)/farStepLn)), farStepsMost)
	dt, dp := g.dtS/float64(n), (p2Pa-p1Pa)/float64(n)
	g.farK = 0
	for i := range n {
		from, part := p1Pa+float64(i)*dp, (float64(i)+0.5)/float64(n)
		gasK := g.startK + part*(g.endK-g.startK)
		cools := c.film(still, g.farEndK-wallK) * area / (t.start.kgM3 * (from + 0.5*dp) / p1Pa)
		if n > 1 {
			rise = ln((from + dp) / from)
		}
		warms := (heatRatio - 1) / heatRatio * g.farEndK * rise / dt
		rate := cools + 1/c.mixS
		settled := (cools*wallK + gasK/c.mixS + warms) / rate
		start := g.farEndK
		g.farEndK = settled + (start-settled)*exp(-rate*dt)
		g.farEndK = min(max(g.farEndK, gasK-farMostK), gasK+farMostK)
		g.farK += 0.5 * (start + g.farEndK) / float64(n)
	}
}

// Parts that a step is taken in while the pressure multiplies.
const (
	farStepLn    = 0.15
	farStepsMost = 16
)

// farMostK is how far such gas stands from the rest at the most: more comes of
// a pressure that jumped, not of one that rose.
const farMostK = 80.0

// farPart is how much of the far end's temperature its wall sees. A small part of
// the gas that is unmixed is as hot as a large one, and lies before that wall: a third
// of all that may be makes 0.70 of it, two thirds 0.96 (the cube: no source).
func (c *coefficients) farPart() float64 {
	if c.far >= 1 {
		return 1
	}
	mixed := 1 - math.Abs(c.far)
	return math.Copysign(1-mixed*mixed*mixed, c.far)
}

// farWall takes the far end's excess over the rest of the wall on by dtS: what
// its gas gives it beyond what the mixed gas gives the rest,
//
//	C dE/dt = h_f (T_f − T_w − E) − h (T − T_w) − h_o E,   h_f without the jet.
func (m *Model) farWall(s *State, c *coefficients, stir filmState, meanK, farK, wallK, dtS float64) {
	if (!(m.FarShare > 0) || c.far == 0) && s.FarK == 0 {
		return
	}
	settled, loss := m.farSettledK(s, c, stir, meanK, farK, wallK)
	if !(m.FarShare > 0) {
		settled = 0 // what was believed of an end that is none wears off
	}
	s.FarK = settled + (s.FarK-settled)*exp(-dtS*loss/(m.AreaHeatJM2K*c.heat))
}

// farSettledK is where the far excess tends to, and the conductance that takes
// it there, W/m²K.
func (m *Model) farSettledK(s *State, c *coefficients, stir filmState, gasK, farK, wallK float64) (settledK, lossWM2K float64) {
	still := filmState{lnNatural: stir.lnNatural}
	far := c.film(still, farK-wallK-s.FarK)
	near := m.nearK(c, gasK, farK, wallK)
	more := far*(farK-wallK) - c.film(stir, near-wallK)*(near-wallK)
	return c.farPart() * more / (far + c.outside), far + c.outside
}

// nearK is the gas within the jet's reach, which is as much colder than the mean
// as the far end is hotter, by their shares. The balance goes by the mean: what
// the wall here takes less, the wall there takes more.
// It is no colder than its wall, beside gas that is hotter.
func (m *Model) nearK(c *coefficients, gasK, farK, wallK float64) float64 {
	part := min(max(m.FarShare*c.far, -farShareLess), farShareMost)
	if part == 0 {
		return gasK
	}
	off, most := -part/(1-part)*(farK-gasK), wallK-gasK
	if off*most > 0 && math.Abs(off) > math.Abs(most) {
		off = most
	}
	return gasK + off
}

// beadBesideK is what the gas at a probe stands over the mean: as much colder
// within the jet's reach as the far end is hotter, by their shares, and colder by
// what of the inflow comes to it unmixed, a share jet.
func (m *Model) beadBesideK(c *coefficients, g *gasStep, far bool, jet, wallK, inflowKgS float64) float64 {
	beside := m.nearK(c, g.meanK, g.farK, wallK) - g.meanK
	if far {
		beside = c.farPart() * (g.farK - g.meanK)
	}
	if inflowKgS > 0 {
		beside += jet * (g.inK - g.meanK - beside)
	}
	return beside
}

// beads lets the gas probes follow the gas about them; stem and radiation draw
// them to the fitting and the wall.
func (m *Model) beads(s *State, c *coefficients, g *gasStep, film filmState, wallK, inflowKgS float64) {
	keeps, draws, lagS := 1-c.beadLoss, c.beadLoss*wallK, c.beadS(film)
	follow := func(beadK float64, far bool, jet float64) float64 {
		beside := m.beadBesideK(c, g, far, jet, wallK, inflowKgS)
		return Lag(beadK, keeps*(g.startK+beside)+draws, keeps*(g.endK+beside)+draws, g.dtS, lagS)
	}
	s.BeadK = follow(s.BeadK, m.BeadFar, c.beadJet)
	if m.Second {
		jet := c.beadJet
		if m.SecondFar {
			jet = 0
		}
		s.SecondK = follow(s.SecondK, m.SecondFar, jet)
	}
}

// Shares of the gas that may be unmixed; an estimate may lie under nothing.
const farShareMost, farShareLess = 0.6, 0.1

// excesses are the deviations of the wall by gas that is not one, at its inner
// and at its outer face. A slab that takes up the flux q at one face has that
// q L/(3k) over its mean and the other q L/(6k) under it (steady heating;
// Carslaw & Jaeger).
type excesses struct{ layerInK, layerOutK, farInK, farOutK float64 }

func (m *Model) excesses(s *State, c *coefficients, stir filmState, wallK float64) excesses {
	e := excesses{s.ExcessK, s.ExcessK, s.FarK, s.FarK}
	if m.Cells == 1 || s.ExcessK == 0 && s.FarK == 0 {
		return e
	}
	third := m.ThicknessM / (3 * m.ConductivityWMK * c.conduct)
	if c.uneven != 0 {
		diff := s.GasK - wallK
		bend := third * c.film(stir, diff) * (c.uneven*diff - s.ExcessK)
		e.layerInK, e.layerOutK = e.layerInK+bend, e.layerOutK-0.5*bend
	}
	if m.FarShare > 0 && c.far != 0 {
		settled, loss := m.farSettledK(s, c, stir, s.GasK, s.FarGasK, wallK)
		bend := third * loss * (settled - s.FarK)
		e.farInK, e.farOutK = e.farInK+bend, e.farOutK-0.5*bend
	}
	return e
}

// BeadEnd is the end that the gas probe sits at, the first of two.
func BeadEnd(v *vessel.Profile) vessel.End {
	if first, _ := v.GasProbes(); first != nil {
		return first.End
	}
	return vessel.EndNone
}

// JetReach is how many diameters of a vessel a jet stirs, and jetReachSigma one sigma
// of that: nozzle, flow and how the vessel lies differ. Common practice, no source.
const (
	JetReach      = 6.0
	jetReachSigma = 1.0
)

// jetReachLeast is the slenderness under which a vessel has no far end at all.
const jetReachLeast = JetReach - 2*jetReachSigma

// slender is a vessel's length in diameters.
func slender(v *vessel.Profile) float64 { return float64(v.Length) / float64(v.InnerDiameter) }

// Unmixed is how likely a vessel has an end beyond the jet's reach: next to nothing
// at four diameters, half at six, all but sure at eight.
func Unmixed(v *vessel.Profile) float64 {
	if !(slender(v) > jetReachLeast) {
		return 0
	}
	return distuv.UnitNormal.CDF((slender(v) - JetReach) / jetReachSigma)
}

// farShare is the part of a vessel's length that lies beyond the jet's reach, in the
// mean over what that may be: of max(0, 1 − r/s), r normal.
func farShare(v *vessel.Profile) float64 {
	if !(slender(v) > jetReachLeast) {
		return 0
	}
	z := (slender(v) - JetReach) / jetReachSigma
	return jetReachSigma / slender(v) * (distuv.UnitNormal.Prob(z) + z*distuv.UnitNormal.CDF(z))
}
