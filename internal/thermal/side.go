package thermal

// SideAt is the wall on a side of the vessel, whether a station lies there or not.
func (m *Model) SideAt(s *State, p *Params, side int, densityKgM3, inflowKgS float64) PlaceK {
	c := p.coefficients()
	l := m.look(s, &c, c.filmState(densityKgM3, inflowKgS))
	return PlaceK{l.innerK[side], l.outerK[side], l.hotK[side]}
}
