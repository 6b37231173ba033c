package thermal

import (
	"math"

	"fillwright/internal/vessel"
)

// Fluid is what the balance asks of a gas; package gas has three of them.
// Pressure is absolute; energies share one reference.
type Fluid interface {
	DensityKgM3(tempK, pressurePa float64) float64
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
	Stations        int
	AreaM2          [StationsMost]float64 // inner surface of each station
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
		Stations: len(v.Stations), Cells: min(max(cells, 1), CellsMost),
		ThicknessM: float64(v.Wall.Thickness), ConductivityWMK: v.Wall.ConductivityWMK,
		AreaHeatJM2K: v.WallAreaHeatJM2K(),
	}
	for i := range v.Stations {
		m.AreaM2[i] = v.InnerAreaM2() * v.Stations[i].AreaFraction
	}
	m.addWater(v)
	return m
}

// State is everything of the vessel that changes. Temperatures in K.
type State struct {
	GasK  float64 // bulk
	BeadK float64 // the gas probe's bead
	Wall  [StationsMost][CellsMost]float64
	OutK  [StationsMost]float64 // outside equilibrium of each station
	SkinK [StationsMost]float64 // a sensor on the outer skin

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
	if s.known.tempK != s.GasK || s.known.pressurePa != pPa {
		s.known = density{s.GasK, pPa, m.Fluid.DensityKgM3(s.GasK, pPa)}
	}
	return s.known.kgM3
}

// Uniform is a vessel all at one temperature.
func (m *Model) Uniform(tempK float64) State {
	s := State{GasK: tempK, BeadK: tempK, WaterK: tempK}
	for i := 0; i < m.Stations; i++ {
		s.OutK[i], s.SkinK[i] = tempK, tempK
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = tempK
		}
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

// Faces are the inner and outer face temperatures of a station: flux
// continuity between film and half a cell.
func (m *Model) Faces(s *State, p *Params, station int, densityKgM3, inflowKgS float64) (innerK, outerK float64) {
	c := p.coefficients()
	return m.faces(s, &c, c.stir(densityKgM3, inflowKgS), station)
}

func (m *Model) faces(s *State, c *coefficients, stir stirring, station int) (innerK, outerK float64) {
	w, last := &s.Wall[station], m.Cells-1
	if m.Cells == 1 {
		return w[0], w[0]
	}
	half := m.halfCell(c)
	film := c.film(stir, s.GasK-w[0])
	innerK = (film*s.GasK + half*w[0]) / (film + half)
	return innerK, m.outerFace(c, s.OutK[station], w[last], half)
}

func (m *Model) outerFace(c *coefficients, outK, lastK, half float64) float64 {
	if m.Cells == 1 {
		return lastK
	}
	return (c.outside*outK + half*lastK) / (c.outside + half)
}

// Hottest is the hottest place of one station's wall.
func (m *Model) Hottest(s *State, p *Params, station int, densityKgM3, inflowKgS float64) float64 {
	c := p.coefficients()
	return m.hottest(s, &c, c.stir(densityKgM3, inflowKgS), station)
}

func (m *Model) hottest(s *State, c *coefficients, stir stirring, station int) float64 {
	inner, outer := m.faces(s, c, stir, station)
	hot := math.Max(inner, outer)
	for j := 0; j < m.Cells; j++ {
		hot = math.Max(hot, s.Wall[station][j])
	}
	return hot
}

// hottestOf is the hottest place of the whole wall and its station; NaN when
// any station is unknown.
func (m *Model) hottestOf(s *State, c *coefficients, stir stirring) (hotK float64, station int) {
	hotK = math.Inf(-1)
	for i := 0; i < m.Stations; i++ {
		h := m.hottest(s, c, stir, i)
		if math.IsNaN(h) {
			return h, i
		}
		if h > hotK {
			hotK, station = h, i
		}
	}
	return hotK, station
}

// MassKg is the gas in the vessel.
func (m *Model) MassKg(tempK, pressurePa float64) float64 {
	return m.VolumeM3 * m.Fluid.DensityKgM3(tempK, pressurePa)
}

// SettledK is the temperature that gas and wall drift to: the mean of the
// stations' outside equilibria, weighted by area.
func (m *Model) SettledK(s *State) float64 {
	var sum, area float64
	for i := 0; i < m.Stations; i++ {
		sum += s.OutK[i] * m.AreaM2[i]
		area += m.AreaM2[i]
	}
	return sum / area
}

// SettledPa is the absolute pressure of massKg once gas and wall have settled.
func (m *Model) SettledPa(s *State, massKg float64) float64 {
	return m.Fluid.PressurePa(m.SettledK(s), massKg/m.VolumeM3)
}
