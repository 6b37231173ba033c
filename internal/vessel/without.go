package vessel

// WithoutWall is a copy of the profile whose wall sensors are left unread, as
// if none were attached.
func (p *Profile) WithoutWall() *Profile {
	c := *p
	c.Channels = nil
	for _, ch := range p.Channels {
		if ch.Role != RoleWall {
			c.Channels = append(c.Channels, ch)
		}
	}
	return &c
}
