package vessel

import "math"

// GasVolumeM3 is the room for gas: the volume less the water in it.
func (p *Profile) GasVolumeM3() float64 { return float64(p.Volume - p.Water) }

// InnerAreaM2 is the area of the wall that the gas sees, π × diameter ×
// length. That is the side of a cylinder with plugged ends, and exactly the
// whole surface of one with hemispherical ends and the same overall length.
func (p *Profile) InnerAreaM2() float64 {
	return math.Pi * float64(p.InnerDiameter) * float64(p.Length)
}

// WallAreaHeatJM2K is the heat that warms a square metre of wall by a kelvin:
// density × specific heat × thickness.
func (p *Profile) WallAreaHeatJM2K() float64 {
	return p.Wall.DensityKgM3 * p.Wall.SpecificHeatJKgK * float64(p.Wall.Thickness)
}

// StationIndex is the place of a station in Stations, -1 if there is none of
// that name.
func (p *Profile) StationIndex(name string) int {
	for i := range p.Stations {
		if p.Stations[i].Name == name {
			return i
		}
	}
	return -1
}

// ChannelOf gives the channel with a role; for wall sensors, the first.
func (p *Profile) ChannelOf(role Role) (Channel, bool) {
	for _, c := range p.Channels {
		if c.Role == role {
			return c, true
		}
	}
	return Channel{}, false
}

// GasProbes are the probes in the gas: of two the first is the one that does not lie
// at the far end. What is not there is nil.
func (p *Profile) GasProbes() (first, second *Channel) {
	for i := range p.Channels {
		switch c := &p.Channels[i]; {
		case c.Role != RoleGas:
		case first == nil:
			first = c
		case first.End == EndFar:
			first, second = c, first
		default:
			second = c
		}
	}
	return first, second
}

// ChannelAt gives the channel with an index on the logger.
func (p *Profile) ChannelAt(index int) (Channel, bool) {
	for _, c := range p.Channels {
		if c.Index == index {
			return c, true
		}
	}
	return Channel{}, false
}

// WallChannel gives the wall sensor of a station.
func (p *Profile) WallChannel(station string) (Channel, bool) {
	for _, c := range p.Channels {
		if c.Role == RoleWall && c.Station == station {
			return c, true
		}
	}
	return Channel{}, false
}

// cylinderM3 is the volume of a plain cylinder of the vessel's diameter and length.
func (p *Profile) cylinderM3() float64 {
	d := float64(p.InnerDiameter)
	return math.Pi / 4 * d * d * float64(p.Length)
}
