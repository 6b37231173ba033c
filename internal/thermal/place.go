package thermal

import (
	"math"

	"fillwright/internal/vessel"
)

// The sides of a tube in the sun. A beam heats it as max(cos θ, 0), θ counted
// from the sunniest line, so that with an even film the wall anywhere is
//
//	T(θ) = T_shade + max(cos θ, 0) (T_sun − T_shade),
//
// the superposition of an even base and a lit part; the gas sees the lit part's
// mean round the tube, 1/π of its peak. Two walls thus stand for every angle.
const (
	SideSun   = 0 // the sunniest line
	SideShade = 1 // where no beam falls
)

// PlacesMost bounds the places of a vessel.
const PlacesMost = vessel.StationsMost

// Place is where a station lies, as far as that is known.
type Place struct {
	Sun      float64 // how much of the lit part it sees: max(cos θ, 0)
	SunSigma float64 // one sigma of that
	LocalK   float64 // one sigma of what else is its own, K
	OfExcess float64 // how much of the excess before the hottest gas it sees, 0 to 1
}

// What is not known of a place, one sigma. A hand-held reading is taken beside
// the sunniest line as often as on it; 15° off shows 3 % less, 30° off 13 %. A
// sensor that was glued on was looked at for longer.
// Common practice, no source.
const (
	handSunMean, handSunSigma   = 0.98, 0.045
	gluedSunMean, gluedSunSigma = 0.985, 0.025
	meanSunSigma                = 0.20 // somewhere round the vessel
	angleSigmaRad               = 0.20 // of an angle that somebody wrote down
	localSigmaK                 = 0.5
)

// place ties the profile's stations to the walls.
func (m *Model) place(v *vessel.Profile) {
	m.PlaceCount = len(v.Stations)
	for i := range v.Stations {
		m.Places[i] = placeOf(&v.Stations[i])
	}
	for _, ch := range v.Channels {
		i := v.StationIndex(ch.Station)
		if ch.Role == vessel.RoleWall && i >= 0 && v.Stations[i].OffSunDeg == 0 {
			m.Places[i].Sun, m.Places[i].SunSigma = gluedSunMean, gluedSunSigma
		}
	}
}

// placeOf is the place of a station; one that says nothing of where it lies sees
// the mean round the vessel.
func placeOf(st *vessel.Station) Place {
	p := Place{LocalK: localSigmaK}
	if st.End == vessel.EndFar {
		p.OfExcess = 1
	}
	switch off := st.OffSunDeg * math.Pi / 180; {
	case !st.OffSunKnown():
		p.Sun, p.SunSigma = 1/math.Pi, meanSunSigma
	case off == 0:
		p.Sun, p.SunSigma = handSunMean, handSunSigma
	default:
		p.Sun = math.Max(math.Cos(off), 0)
		p.SunSigma = angleSigmaRad * math.Sin(math.Min(off, math.Pi/2))
		if past := off - math.Pi/2; past > 0 { // the beam's edge may come round to it
			p.SunSigma *= math.Max(0.15, 1-past/(2*angleSigmaRad))
		}
	}
	return p
}

// at joins what is the case on either side to what is the case at a place.
func (p *Place) at(sun, shade float64) float64 { return p.Sun*sun + (1-p.Sun)*shade }

// PlaceK is the wall at a place.
type PlaceK struct{ InnerK, OuterK, HottestK float64 }

// At is the wall at a place; a wall of one side is the same everywhere.
func (m *Model) At(s *State, p *Params, place int, densityKgM3, inflowKgS float64) PlaceK {
	c := p.coefficients()
	stir := c.stir(densityKgM3, inflowKgS)
	pl := &m.Places[place]
	more := s.LocalK[place] + pl.OfExcess*s.ExcessK
	inner, outer := m.faces(s, &c, stir, SideSun)
	hot := m.hottest(s, &c, stir, SideSun)
	if m.Sides == SidesMost {
		innerShade, outerShade := m.faces(s, &c, stir, SideShade)
		inner, outer = pl.at(inner, innerShade), pl.at(outer, outerShade)
		hot = pl.at(hot, m.hottest(s, &c, stir, SideShade))
	}
	return PlaceK{inner + more, outer + more, hot + more}
}

// OutAtK is the outside equilibrium at a place.
func (m *Model) OutAtK(s *State, place int) float64 {
	if m.Sides < SidesMost {
		return s.OutK[SideSun]
	}
	return m.Places[place].at(s.OutK[SideSun], s.OutK[SideShade])
}

// skins lets the skin sensors follow their places, whose sides' outer faces go
// from before to after.
func (m *Model) skins(s *State, c *coefficients, before, after *[SidesMost]float64, ambientK, dtS float64) {
	lead := 1 - c.stem
	for i := 0; i < m.PlaceCount; i++ {
		pl := &m.Places[i]
		more := s.LocalK[i] + pl.OfExcess*s.ExcessK
		from, to := before[SideSun], after[SideSun]
		if m.Sides == SidesMost {
			from, to = pl.at(from, before[SideShade]), pl.at(to, after[SideShade])
		}
		s.SkinK[i] = Lag(s.SkinK[i], lead*(from+more)+c.stem*ambientK, lead*(to+more)+c.stem*ambientK, dtS, c.skinS)
	}
}

const beadTells = 0.5 // as much of it (common practice, no source)

// excess takes on by dtS what the wall before the hottest gas stands over the
// rest: gas that is hotter there by uneven times gas minus wall heats it, and
// it loses that to gas and outside again,
//
//	C dE/dt = h (uneven (T − T_w) − E) − h_o E,
//
// the lag form of a deviation. It changes nothing in the balance: what is
// hotter here is colder there. In a long vessel the hottest gas is that beyond
// the jet's reach, and a bead that reads further below the balance's gas than
// its stem explains says that more of the gas is such.
func (m *Model) excess(s *State, c *coefficients, stir stirring, meanK, dtS float64) {
	if c.uneven == 0 && s.ExcessK == 0 {
		return
	}
	diff := meanK - s.Wall[SideSun][0]
	film := c.film(stir, diff)
	if m.Slim > 0 {
		diff += m.Slim * math.Max(0, s.PlugK-meanK)
	}
	uneven := c.uneven + beadTells*m.Slim*math.Max(0, c.beadLoss-beadLossStem)
	settled := film * uneven * diff / (film + c.outside)
	s.ExcessK = settled + (s.ExcessK-settled)*math.Exp(-dtS*(film+c.outside)/(m.AreaHeatJM2K*c.heat))
}

// plugMostK is how far such gas stands above its wall at the most: more comes of
// a pressure that jumped, not of one that rose.
const plugMostK = 60.0

// plug takes the gas beyond the jet's reach on by dtS while the pressure goes
// from p1Pa to p2Pa: compressed as gas is that nothing mixes with, and cooled by
// its wall,
//
//	dT/dt = (γ − 1)/γ T/p dp/dt − h A (T − T_w)/(ρ V c_p).
//
// It follows from the pressure alone, whatever a bead near the inlet reads.
func (m *Model) plug(s *State, c *coefficients, stir stirring, rhoKgM3, cvJKgK, p1Pa, p2Pa, dtS float64) {
	if !(m.Slim > 0) {
		return
	}
	wallK := s.Wall[SideSun][0]
	still := stirring{lnNatural: stir.lnNatural}
	area := m.AreaM2[SideSun] + m.AreaM2[SideShade]
	rate := c.film(still, s.PlugK-wallK) * area / (rhoKgM3 * m.VolumeM3 * cvJKgK * heatRatio)
	warms := (heatRatio - 1) / heatRatio * s.PlugK * math.Log(p2Pa/p1Pa) / dtS
	settled := wallK + warms/rate
	s.PlugK = math.Min(settled+(s.PlugK-settled)*math.Exp(-rate*dtS), wallK+plugMostK)
}

// ReadingPossible tells whether a hand-held thermometer could have read surfaceK
// off the wall: a wet cloth takes it 25 K below the air at most (wet bulb of hot
// dry air; ASHRAE Fundamentals), dark paint in full sun and calm some 80 K above
// it (sol-air), and the gas no further than it is warm itself. The rest is a slip
// of the key or of the unit.
func ReadingPossible(surfaceK, ambientK, gasK float64) bool {
	least, most := ambientK-wetBulbMostK, ambientK+sunMostK
	if !math.IsNaN(gasK) {
		least, most = math.Min(least, gasK-slipK), math.Max(most, gasK+slipK)
	}
	return surfaceK >= least && surfaceK <= most
}

const (
	wetBulbMostK = 25.0
	sunMostK     = 80.0
	slipK        = 5.0 // of a thermometer that is as good as one can be held
)
