package estimate

import (
	"math"

	"fillwright/internal/line"
)

// slope fits a straight line to the last block pressures: its end is the
// pressure that drives the gas balance, its slope the ramp. A line through a
// few blocks keeps quantising and noise from being taken for gas that flows
// in and out.
type slope struct {
	t, p  [slopeKeep]float64
	n     int
	noise scatter
}

const (
	slopeKeep   = 32
	driveS      = 1.4 // window of the pressure that drives the gas balance
	RampS       = 3.0 // window of the ramp that is shown and judged
	massS       = 4.0 // of the gas inventory, whose slope is what flows in or out
	driveLeast  = 3   // points of a window, at the least
	slopeGapMax = 3.0 // a longer gap starts the window anew, s
	scatterKeep = 30  // blocks over which the scatter is averaged
)

// scatter is the noise of the blocks, from how far each lies off the line
// between its neighbours. A fit of four points knows little of its own noise;
// the blocks before it know more.
type scatter struct {
	meanAbs float64
	n       int
}

// add takes the middle one of three blocks.
func (c *scatter) add(t, p *[slopeKeep]float64, mid int) {
	before := (t[mid+1] - t[mid]) / (t[mid+1] - t[mid-1])
	after := 1 - before
	off := math.Abs(p[mid]-before*p[mid-1]-after*p[mid+1]) / math.Sqrt(1+before*before+after*after)
	if math.IsNaN(off) {
		return
	}
	c.n = min(c.n+1, scatterKeep)
	c.meanAbs += (off - c.meanAbs) / float64(c.n)
}

// sigma is one sigma: √(π/2) times the mean size, for a normal deviate.
func (c *scatter) sigma() float64 { return math.Sqrt(math.Pi/2) * c.meanAbs }

// add keeps one block; a gap forgets what was before it.
func (s *slope) add(t, p float64) {
	if s.n > 1 && t-s.t[s.n-1] > math.Max(slopeGapMax, 3*s.period()) {
		s.n = 0
	}
	if s.n == slopeKeep {
		copy(s.t[:], s.t[1:])
		copy(s.p[:], s.p[1:])
		s.n--
	}
	s.t[s.n], s.p[s.n] = t, p
	s.n++
	if s.n > 2 {
		s.noise.add(&s.t, &s.p, s.n-2)
	}
}

// period is the last spacing of blocks.
func (s *slope) period() float64 {
	if s.n < 2 {
		return 0
	}
	return s.t[s.n-1] - s.t[s.n-2]
}

// spanShare is how much of a window must be covered before its slope counts.
const spanShare = 0.6

// Line is a straight line through the last blocks.
type Line struct {
	EndPa float64 // at the last block
	PaS   float64 // slope, NaN when not known
	Sigma float64 // of the slope, one sigma from the scatter about the line and of the blocks before
}

// line fits the blocks of the last windowS. With blocks too far apart for a
// fit it is the last pressure and the last difference.
func (s *slope) line(windowS float64) Line {
	if s.n == 0 {
		return Line{math.NaN(), math.NaN(), math.NaN()}
	}
	end := s.t[s.n-1]
	from := s.n - 1
	for from > 0 && end-s.t[from-1] <= windowS+1e-9 {
		from--
	}
	if s.n-from < driveLeast {
		if s.n < 2 || s.period() < windowS/driveLeast {
			return Line{s.p[s.n-1], math.NaN(), math.NaN()} // two close points are noise
		}
		return Line{s.p[s.n-1], (s.p[s.n-1] - s.p[s.n-2]) / s.period(), math.Sqrt2 * s.noise.sigma() / s.period()}
	}
	f := s.fit(from)
	if end-s.t[from] < spanShare*windowS {
		f.PaS, f.Sigma = math.NaN(), math.NaN()
	}
	return f
}

// fit is the least-squares line through the blocks from index from on.
func (s *slope) fit(from int) Line {
	l := line.Fit(s.t[from:s.n], s.p[from:s.n], s.t[s.n-1])
	return Line{EndPa: l.Y0, PaS: l.Slope, Sigma: math.Max(l.Scatter, s.noise.sigma()) * l.Unit}
}
