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

// SunShareMean is the mean of max(cos θ, 0) round a tube.
const SunShareMean = 1 / math.Pi

// Normal is a temperature difference that is known so well: mean and one sigma.
type Normal struct{ MeanK, SigmaK float64 }

// SunGains is how far the outside equilibria of a vessel on its pad stand above
// others: the shaded side above ambient, the sunniest line above the shaded side.
type SunGains struct{ Shade, Lit Normal }

// PlacesMost bounds the places of a vessel.
const PlacesMost = vessel.StationsMost

// Place is where a station lies, as far as that is known.
type Place struct {
	Sun      float64 // how much of the lit part it sees: max(cos θ, 0)
	SunSigma float64 // one sigma of that
	LocalK   float64 // one sigma of what else is its own, K
	OfLayer  float64 // how much of the sunniest line's excess by layers it sees, -1 to 1
	OfFar    float64 // how much of the far end's excess, 0 to 1
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
		if m.Standing {
			m.Places[i].OfLayer = 0 // layers lie along: a place between shows their mean
		}
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
		p.OfFar = 1
	}
	switch off := st.OffSunDeg * math.Pi / 180; {
	case !st.OffSunKnown():
		p.Sun, p.SunSigma = 1/math.Pi, meanSunSigma
	case off == 0:
		p.Sun, p.SunSigma, p.OfLayer = handSunMean, handSunSigma, 1
	default:
		p.Sun, p.OfLayer = max(math.Cos(off), 0), math.Cos(off)
		p.SunSigma = angleSigmaRad * math.Sin(min(off, math.Pi/2))
		if past := off - math.Pi/2; past > 0 { // the beam's edge may come round to it
			p.SunSigma *= max(0.15, 1-past/(2*angleSigmaRad))
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
	l := m.look(s, &c, c.filmState(densityKgM3, inflowKgS))
	return m.at(s, &l, place)
}

// Walls is At for all the places of out, and the hottest of each end.
func (m *Model) Walls(s *State, p *Params, densityKgM3, inflowKgS float64, out []PlaceK) Ends {
	c := p.coefficients()
	l := m.look(s, &c, c.filmState(densityKgM3, inflowKgS))
	for i := range out {
		out[i] = m.at(s, &l, i)
	}
	e, _ := m.ends(&l)
	return e
}

func (m *Model) at(s *State, l *look, place int) PlaceK {
	pl := &m.Places[place]
	moreIn := s.LocalK[place] + pl.OfLayer*l.layerInK + pl.OfFar*l.farInK
	moreOut := s.LocalK[place] + pl.OfLayer*l.layerOutK + pl.OfFar*l.farOutK
	inner, outer := pl.at(l.innerK[SideSun], l.innerK[SideShade]), pl.at(l.outerK[SideSun], l.outerK[SideShade])
	hot := pl.at(l.hotK[SideSun], l.hotK[SideShade])
	return PlaceK{inner + moreIn, outer + moreOut, max(hot+moreOut, min(hot, inner)+moreIn)}
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
func (m *Model) skins(s *State, c *coefficients, stir filmState, wallK float64, before, after *[SidesMost]float64, g *gasStep) {
	e, lead, draws := m.excesses(s, c, stir, wallK), 1-c.stem, c.stem*g.ambientK
	for i := 0; i < m.PlaceCount; i++ {
		pl := &m.Places[i]
		more := s.LocalK[i] + pl.OfLayer*e.layerOutK + pl.OfFar*e.farOutK
		from, to := before[SideSun], after[SideSun]
		if m.Sides == SidesMost {
			from, to = pl.at(from, before[SideShade]), pl.at(to, after[SideShade])
		}
		s.SkinK[i] = Lag(s.SkinK[i], lead*(from+more)+draws, lead*(to+more)+draws, g.dtS, c.skinS)
	}
}

// HandK is what a hand-held probe reads on a skin: between wall and air, it takes a
// share of their difference off (stem conduction; the National Physical Laboratory's
// notes on measuring surfaces have it at tenths of a degree at best, several where
// it is hot).
func (p *Params) HandK(outerK, ambientK float64) float64 {
	return outerK - p[ParHand]*(outerK-ambientK)
}

// ReadingPossible tells whether a hand-held thermometer could have read surfaceK
// off the wall: a wet cloth takes it 25 K below the air at most (wet bulb of hot
// dry air; ASHRAE Fundamentals), dark paint in full sun and calm some 80 K above
// it (sol-air), and the gas no further than it is warm itself. The rest is a slip
// of the key or of the unit.
func ReadingPossible(surfaceK, ambientK, gasK float64) bool {
	least, most := ambientK-wetBulbMostK, ambientK+sunMostK
	if !math.IsNaN(gasK) {
		least, most = min(least, gasK-slipK), max(most, gasK+slipK)
	}
	return surfaceK >= least && surfaceK <= most
}

const (
	wetBulbMostK = 25.0
	sunMostK     = 80.0
	slipK        = 5.0 // of a thermometer that is as good as one can be held
)
