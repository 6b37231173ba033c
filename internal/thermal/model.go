package thermal

import (
	"math"

	"fillwright/internal/vessel"
)

// Fluid is what the balance asks of a gas; package gas has three of them.
// Pressure is absolute; energies share one reference.
type Fluid interface {
	DensityKgM3(tempK, pressurePa float64) float64
	DensityNearKgM3(tempK, pressurePa, guess float64) float64 // the same from a guess, 0: none
	PressurePa(tempK, densityKgM3 float64) float64
	UJKg(tempK, densityKgM3 float64) float64
	HJKg(tempK, densityKgM3 float64) float64
	CvJKgK(tempK, densityKgM3 float64) float64
	SpecificGasConstant() float64
}

// Model is a vessel as the balance sees it. It never changes after NewModel.
type Model struct {
	Fluid           Fluid
	VolumeM3        float64 // of gas
	AmbientPa       float64
	Sides           int                // one, or the sunny line and the shaded side
	AreaM2          [SidesMost]float64 // inner surface of each side
	Round           bool               // a tube: the sides share the surface by ParSunShare
	Places          [PlacesMost]Place  // where the profile's stations lie
	PlaceCount      int
	FarShare        float64 // of the length that lies beyond the jet's reach, 0: none
	BeadFar         bool    // the gas probe sits beyond the jet's reach
	Second          bool    // there is a second gas probe,
	SecondFar       bool    // beyond the jet's reach
	Standing        bool    // gas lies in layers along it, not round it
	Cells           int
	ThicknessM      float64
	ConductivityWMK float64
	AreaHeatJM2K    float64 // heat capacity of the wall per area
	WaterJK         float64 // heat capacity of the water in the vessel, 0: dry
	WaterAreaM2     float64 // of water that the gas wets
}

// NewModel makes the model of a vessel with the given cells through the wall.
func NewModel(v *vessel.Profile, f Fluid, cells int) *Model {
	m := &Model{
		Fluid: f, VolumeM3: v.GasVolumeM3(), AmbientPa: float64(v.AmbientPressure),
		Sides: SidesMost, Round: true, Cells: min(max(cells, 1), CellsMost),
		ThicknessM: float64(v.Wall.Thickness), ConductivityWMK: v.Wall.ConductivityWMK,
		AreaHeatJM2K: v.WallAreaHeatJM2K(), FarShare: farShare(v), BeadFar: BeadEnd(v) == vessel.EndFar,
		Standing: v.Attitude == vessel.AttitudeStanding,
	}
	if _, second := v.GasProbes(); second != nil {
		m.Second, m.SecondFar = true, second.End == vessel.EndFar
	}
	m.AreaM2[SideSun], m.AreaM2[SideShade] = SunShareMean*v.InnerAreaM2(), (1-SunShareMean)*v.InnerAreaM2()
	m.place(v)
	m.addWater(v)
	return m
}

// areaM2 is the inner surface that stands for a side.
func (m *Model) areaM2(c *coefficients, side int) float64 {
	if !m.Round || m.Sides < SidesMost {
		return m.AreaM2[side]
	}
	all := m.AreaM2[SideSun] + m.AreaM2[SideShade]
	if side == SideSun {
		return c.sunShare * all
	}
	return (1 - c.sunShare) * all
}

// State is everything of the vessel that changes. Temperatures in K.
type State struct {
	GasK  float64 // bulk
	BeadK float64 // the gas probe's bead
	Wall  [SidesMost][CellsMost]float64
	OutK  [SidesMost]float64 // outside equilibrium of each side

	SecondK    float64 // the second gas probe's bead, if there is one
	SecondOffK float64 // what it reads over that: its bias, and gas about it that is its own

	FarGasK float64             // gas beyond the jet's reach
	ExcessK float64             // the sunniest line over what even gas would make of it; the shade lies as far under
	FarK    float64             // the wall at the far end over the rest
	LocalK  [PlacesMost]float64 // what each place stands over what its angle says
	SkinK   [PlacesMost]float64 // a sensor on the outer skin there

	WaterK float64 // the water in the vessel, if any
	Supply Supply  // what feeds the vessel, as last known; a forecast keeps it

	known     density   // of the gas, where it was last worked out
	throttled throttled // inflow, where it was last worked out
}

// density remembers ρ(T, p) of a state, so that a step does not solve again
// what the step before has solved.
type density struct{ tempK, pressurePa, kgM3 float64 }

// densityAt is the gas density of the state at an absolute pressure.
func (m *Model) densityAt(s *State, pPa float64) float64 {
	if k := &s.known; k.tempK != s.GasK || k.pressurePa != pPa {
		near := k.kgM3 * (pPa / k.pressurePa) * (k.tempK / s.GasK)
		*k = density{s.GasK, pPa, m.Fluid.DensityNearKgM3(s.GasK, pPa, near)}
	}
	return s.known.kgM3
}

// Uniform is a vessel all at one temperature.
func (m *Model) Uniform(tempK float64) State {
	s := State{GasK: tempK, BeadK: tempK, SecondK: tempK, FarGasK: tempK, WaterK: tempK}
	for i := 0; i < m.Sides; i++ {
		s.OutK[i] = tempK
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = tempK
		}
	}
	for i := range s.SkinK {
		s.SkinK[i] = tempK
	}
	return s
}

// halfCell is the conductance of half a cell, W/m²K; infinite for the lumped
// wall.
func (m *Model) halfCell(c *coefficients) float64 {
	if m.Cells == 1 {
		return math.Inf(1)
	}
	return 2 * m.ConductivityWMK * c.conduct * float64(m.Cells) / m.ThicknessM
}

// look is the wall of a state on both sides, worked out once for every place:
// its faces, the hottest through it, and what gas that is not one adds. A wall of
// one side is the same on both.
type look struct {
	innerK, outerK, hotK [SidesMost]float64
	excesses
}

func (m *Model) look(s *State, c *coefficients, stir filmState) look {
	wallK := m.meanWallK(s, c)
	l := look{excesses: m.excesses(s, c, stir, wallK)}
	gasK := m.nearK(c, s.GasK, s.FarGasK, wallK)
	for i := range m.Sides {
		l.innerK[i], l.outerK[i] = m.faces(s, c, stir, i, gasK)
		hot := max(l.innerK[i], l.outerK[i])
		for _, k := range s.Wall[i][:m.Cells] {
			hot = max(hot, k)
		}
		l.hotK[i] = hot
	}
	if m.Sides < SidesMost {
		l.innerK[SideShade], l.outerK[SideShade], l.hotK[SideShade] = l.innerK[SideSun], l.outerK[SideSun], l.hotK[SideSun]
	}
	return l
}

// faces are the inner and outer face temperatures of a side: flux continuity
// between film and half a cell.
func (m *Model) faces(s *State, c *coefficients, stir filmState, side int, gasK float64) (innerK, outerK float64) {
	w, last := &s.Wall[side], m.Cells-1
	film := c.film(stir, gasK-w[0])
	if m.Cells == 1 {
		// A lump is the mean of the wall; with the heat q on its way through, the
		// face stands q t/(2k) above it (conduction in a slab, steady).
		return w[0] + film*(gasK-w[0])*m.ThicknessM/(2*m.ConductivityWMK*c.conduct), w[0]
	}
	half := m.halfCell(c)
	innerK = (film*gasK + half*w[0]) / (film + half)
	return innerK, m.outerFace(c, s.OutK[side], w[last], half)
}

func (m *Model) outerFace(c *coefficients, outK, lastK, half float64) float64 {
	if m.Cells == 1 {
		return lastK
	}
	return (c.outside*outK + half*lastK) / (c.outside + half)
}

// Faces are the inner and outer face temperatures of a side.
func (m *Model) Faces(s *State, p *Params, side int, densityKgM3, inflowKgS float64) (innerK, outerK float64) {
	c := p.coefficients()
	l := m.look(s, &c, c.filmState(densityKgM3, inflowKgS))
	return l.innerK[side], l.outerK[side]
}

// HottestOf is the hottest place of the whole wall, whether anybody reads it or
// not, and its side.
func (m *Model) HottestOf(s *State, p *Params, densityKgM3, inflowKgS float64) (hotK float64, side int) {
	c := p.coefficients()
	l := m.look(s, &c, c.filmState(densityKgM3, inflowKgS))
	return m.hottest(&l)
}

// hottest is NaN when any side is unknown. The sun shines on the far end too.
func (m *Model) hottest(l *look) (hotK float64, side int) {
	hotK = math.Inf(-1)
	litK := l.hotK[SideSun] - l.hotK[SideShade]
	for i := 0; i < m.Sides; i++ {
		h := l.hotK[i] + m.layeredK(i, l.layerInK, litK)
		if math.IsNaN(h) {
			return h, i
		}
		if h > hotK {
			hotK, side = h, i
		}
	}
	return hotK + max(l.farInK, 0), side
}

// Ends are a figure of the hottest wall within the jet's reach and of that beyond it,
// which may lie under the other. Of two that are nearly as hot each may be the hotter
// where it is asked what may be: a change in their greater alone does not show that.
type Ends struct{ NearK, FarK float64 }

// HottestK is the greater; NaN where either is unknown.
func (e Ends) HottestK() float64 { return max(e.NearK, e.FarK) }

// Alike is a figure that both ends share.
func Alike(k float64) Ends { return Ends{k, k} }

// Most keeps the greater of each.
func (e *Ends) Most(of Ends) { e.NearK, e.FarK = max(e.NearK, of.NearK), max(e.FarK, of.FarK) }

// ends is the hottest of each end.
func (m *Model) ends(l *look) (e Ends, side int) {
	hotK, side := m.hottest(l)
	nearK := hotK - max(l.farInK, 0)
	return Ends{nearK, nearK + max(l.farInK, -farUnderMostK)}, side
}

// farUnderMostK is how far an end lies under the other at the most: beside a jet that
// heats the one it says no more of what the other may be.
const farUnderMostK = 3.0

// MassKg is the gas in the vessel.
func (m *Model) MassKg(tempK, pressurePa float64) float64 {
	return m.VolumeM3 * m.Fluid.DensityKgM3(tempK, pressurePa)
}

// SettledK is the temperature that gas and wall drift to: the mean of the
// sides' outside equilibria, weighted by area.
func (m *Model) SettledK(s *State, p *Params) float64 {
	c := p.coefficients()
	var sum, area float64
	for i := 0; i < m.Sides; i++ {
		a := m.areaM2(&c, i)
		sum += s.OutK[i] * a
		area += a
	}
	return sum / area
}

// SettledPa is the absolute pressure of massKg once gas and wall have settled.
func (m *Model) SettledPa(s *State, p *Params, massKg float64) float64 {
	return m.Fluid.PressurePa(m.SettledK(s, p), massKg/m.VolumeM3)
}

// CellsLayered is the number of cells of the layered variants: the face
// temperatures are extrapolated, so that six cells come within 0.1 K of sixty
// (TestCellsEnough).
const CellsLayered = 6
