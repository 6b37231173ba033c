package thermal

// SideAt is the wall on a side of the vessel, whether a station lies there or
// not; a wall of one side is the same everywhere.
func (m *Model) SideAt(s *State, p *Params, side int, densityKgM3, inflowKgS float64) PlaceK {
	if m.Sides < SidesMost {
		side = SideSun
	}
	c := p.coefficients()
	stir := c.filmState(densityKgM3, inflowKgS)
	inner, outer := m.faces(s, &c, stir, side)
	return PlaceK{inner, outer, m.hottest(s, &c, stir, side)}
}
