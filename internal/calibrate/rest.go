package calibrate

import (
	"math"

	"fillwright/internal/line"
)

// Limits says when a probe counts as come to rest. Values are in the unit of
// the reading, K or Pa.
type Limits struct {
	Drift     float64 // greatest drift, a minute
	Scatter   float64 // greatest scatter of one-second means, one sigma
	WindowS   float64 // over which drift and scatter are judged
	AverageS  float64 // at rest, over which the offset is averaged
	PatienceS float64 // after which a probe that does not come to rest is given up
}

// temperatures is the usual limits for thermocouples (common practice, no
// source).
var temperatures = Limits{Drift: 0.15, Scatter: 0.25, WindowS: 30, AverageS: 60, PatienceS: 900}

// pressures is the usual limits for a pressure sensor of a full scale.
func pressures(fullScalePa float64) Limits {
	return Limits{Drift: 1e-3 * fullScalePa, Scatter: 1e-3 * fullScalePa, WindowS: 15, AverageS: 20, PatienceS: 300}
}

const (
	blockS      = 1.0  // readings are averaged over this before anything else
	blocksMost  = 600  // that are kept
	blocksLeast = 10   // of a window
	leave       = 1.5  // times the limits: an averaging that meets this begins anew
	spanShare   = 0.85 // of a window that must be covered
)

// State is how far a probe has come.
type State uint8

// The states.
const (
	StateWaiting   State = iota // drifts or scatters still
	StateAveraging              // at rest
	StateDone
	StateIll    // gives no good reading
	StateGaveUp // has not come to rest in time
)

var stateNames = [...]string{"settling", "averaging", "done", "no reading", "given up"}

// String is a word for the screen.
func (s State) String() string { return stateNames[s] }

// rest watches one series until it has come to rest and averages it.
type rest struct {
	limits Limits
	state  State
	begun  bool
	fromS  float64 // of the present block
	sum    float64
	n      int
	t, y   []float64 // means of blocks
	mark   int       // first block of the averaging
	line   line.Line // over the window
	spanS  float64   // of the window that is covered
	result mean
	drift  line.Line // over the averaging
}

func newRest(l Limits) rest {
	s := rest{limits: l}
	s.reset(StateWaiting)
	return s
}

// add adds one reading; NaN is none.
func (s *rest) add(v, timeS float64) {
	if s.state == StateDone || s.state == StateGaveUp {
		return
	}
	if !s.begun {
		s.begun, s.fromS = true, timeS
	}
	if math.IsNaN(v) {
		s.reset(StateIll)
		s.sum, s.n, s.fromS = 0, 0, timeS
		return
	}
	if timeS-s.fromS >= blockS-1e-6 {
		if s.n > 0 {
			s.block((s.fromS+timeS)/2, s.sum/float64(s.n))
		}
		s.sum, s.n, s.fromS = 0, 0, timeS
	}
	s.sum += v
	s.n++
}

// reset forgets what was gathered.
func (s *rest) reset(to State) {
	s.state, s.t, s.y, s.mark = to, s.t[:0], s.y[:0], 0
	s.line, s.spanS = line.Unknown, 0
}

// block judges after a complete block.
func (s *rest) block(t, y float64) {
	if s.state == StateIll {
		s.reset(StateWaiting)
	}
	if len(s.t) == blocksMost {
		copy(s.t, s.t[1:])
		copy(s.y, s.y[1:])
		s.t, s.y = s.t[:blocksMost-1], s.y[:blocksMost-1]
		s.mark = max(s.mark-1, 0)
	}
	s.t, s.y = append(s.t, t), append(s.y, y)
	from := s.since(s.limits.WindowS)
	s.line = line.Fit(s.t[from:], s.y[from:], t)
	s.spanS = t - s.t[from]
	switch {
	case s.state == StateWaiting && s.rests(1):
		s.state, s.mark = StateAveraging, len(s.t)-1
	case s.state == StateAveraging && !s.rests(leave):
		s.state = StateWaiting
	case s.state == StateAveraging && t-s.t[s.mark] >= s.limits.AverageS:
		s.finish()
	}
}

// since is the first block of the last windowS.
func (s *rest) since(windowS float64) int {
	end, i := s.t[len(s.t)-1], len(s.t)-1
	for i > 0 && end-s.t[i-1] <= windowS+1e-9 {
		i--
	}
	return i
}

// rests says whether drift and scatter are inside of times the limits. The
// drift counts with its own uncertainty: not known to be at rest is not at
// rest.
func (s *rest) rests(times float64) bool {
	if s.spanS < spanShare*s.limits.WindowS || len(s.t)-s.since(s.limits.WindowS) < blocksLeast {
		return false
	}
	return s.line.Scatter <= times*s.limits.Scatter && 60*(math.Abs(s.line.Slope)+s.line.SSlope) <= times*s.limits.Drift
}

func (s *rest) finish() {
	t, y := s.t[s.mark:], s.y[s.mark:]
	s.result, s.drift, s.state = meanOf(y), line.Fit(t, y, t[0]), StateDone
}

// averagedS is how long the probe has been at rest.
func (s *rest) averagedS() float64 {
	switch s.state {
	case StateDone:
		return s.limits.AverageS
	case StateAveraging:
		return s.t[len(s.t)-1] - s.t[s.mark]
	}
	return 0
}

// leftS is the time that is left, NaN if nobody can tell: the rest of the
// averaging, and before that the time in which a drift that dies away
// exponentially falls to its limit.
func (s *rest) leftS() float64 {
	switch s.state {
	case StateDone, StateGaveUp:
		return 0
	case StateAveraging:
		return s.limits.AverageS - s.averagedS()
	case StateIll:
		return math.NaN()
	}
	missing := s.limits.WindowS - s.spanS
	if len(s.t) == 0 || missing > 0.2*s.limits.WindowS {
		return math.NaN()
	}
	from := s.since(s.limits.WindowS)
	half := from + (len(s.t)-from)/2
	end := s.t[len(s.t)-1]
	early, late := line.Fit(s.t[from:half], s.y[from:half], end), line.Fit(s.t[half:], s.y[half:], end)
	ratio := early.Slope / late.Slope
	limit := s.limits.Drift / 60
	if !(ratio > 1.05) || !(math.Abs(late.Slope) > limit) {
		return math.NaN()
	}
	tau := s.limits.WindowS / 2 / math.Log(ratio)
	return tau*math.Log(math.Abs(late.Slope)/limit) + s.limits.WindowS/2 + s.limits.AverageS
}
