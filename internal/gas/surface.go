package gas

// surface is a function of temperature and density between nodes on a regular
// grid, by bicubic Hermite interpolation from the value, both slopes and the
// cross slope at each node: continuous with its first derivatives, and exact
// with its first derivatives at the nodes.
type surface struct {
	nodes []node // temperature-major: index i·tableRows + j
}

// node holds the value and the slopes in units of a grid step: x along
// temperature, y along density.
type node struct{ f, fx, fy, fxy float64 }

// spot is a place in the grid: the node before it, and how far it is from
// there to the next along each axis, 0 to 1.
type spot struct {
	at   int
	x, y float64
}

// value interpolates.
func (s *surface) value(p spot) float64 {
	low := s.nodes[p.at : p.at+2 : p.at+2]
	high := s.nodes[p.at+tableRows : p.at+tableRows+2 : p.at+tableRows+2]
	y := p.y
	w1 := y * y * (3 - 2*y)
	v1 := y * y * (y - 1)
	w0, v0 := 1-w1, y*(1-y)*(1-y)
	a, b := &low[0], &low[1]
	f0 := w0*a.f + w1*b.f + v0*a.fy + v1*b.fy
	g0 := w0*a.fx + w1*b.fx + v0*a.fxy + v1*b.fxy
	a, b = &high[0], &high[1]
	f1 := w0*a.f + w1*b.f + v0*a.fy + v1*b.fy
	g1 := w0*a.fx + w1*b.fx + v0*a.fxy + v1*b.fxy
	x := p.x
	d := f1 - f0
	return f0 + x*(g0+x*((3*d-2*g0-g1)+x*(g0+g1-2*d)))
}

// alongX gives the value and its slope in x.
func (s *surface) alongX(p spot) (f, fx float64) {
	low := s.nodes[p.at : p.at+2 : p.at+2]
	high := s.nodes[p.at+tableRows : p.at+tableRows+2 : p.at+tableRows+2]
	y := p.y
	w1 := y * y * (3 - 2*y)
	v1 := y * y * (y - 1)
	w0, v0 := 1-w1, y*(1-y)*(1-y)
	a, b := &low[0], &low[1]
	f0 := w0*a.f + w1*b.f + v0*a.fy + v1*b.fy
	g0 := w0*a.fx + w1*b.fx + v0*a.fxy + v1*b.fxy
	a, b = &high[0], &high[1]
	f1 := w0*a.f + w1*b.f + v0*a.fy + v1*b.fy
	g1 := w0*a.fx + w1*b.fx + v0*a.fxy + v1*b.fxy
	return cubic(p.x, f0, g0, f1, g1)
}

// alongY gives the value and its slope in y.
func (s *surface) alongY(p spot) (f, fy float64) {
	low := s.nodes[p.at : p.at+2 : p.at+2]
	high := s.nodes[p.at+tableRows : p.at+tableRows+2 : p.at+tableRows+2]
	x := p.x
	w1 := x * x * (3 - 2*x)
	v1 := x * x * (x - 1)
	w0, v0 := 1-w1, x*(1-x)*(1-x)
	a, b := &low[0], &high[0]
	f0 := w0*a.f + w1*b.f + v0*a.fx + v1*b.fx
	g0 := w0*a.fy + w1*b.fy + v0*a.fxy + v1*b.fxy
	a, b = &low[1], &high[1]
	f1 := w0*a.f + w1*b.f + v0*a.fx + v1*b.fx
	g1 := w0*a.fy + w1*b.fy + v0*a.fxy + v1*b.fxy
	return cubic(p.y, f0, g0, f1, g1)
}

// cubic is the Hermite cubic over 0 to 1 with values f0, f1 and slopes g0, g1
// at its ends, and its slope.
func cubic(x, f0, g0, f1, g1 float64) (f, slope float64) {
	d := f1 - f0
	c2, c3 := 3*d-2*g0-g1, g0+g1-2*d
	return f0 + x*(g0+x*(c2+x*c3)), g0 + x*(2*c2+x*3*c3)
}
