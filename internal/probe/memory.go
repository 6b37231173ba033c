package probe

import "math"

// jumping finds values that move faster than physics allows.
type jumping struct {
	value, timeS float64 // last that was believed
	fromS        float64 // since when it has jumped, NaN: it has not
	level        float64 // where to
	at           [4]float64
	next         int
	calmS        float64 // until when it counts as jumping
}

func (j *jumping) clear() {
	nan := math.NaN()
	*j = jumping{value: nan, timeS: nan, fromS: nan, level: nan, calmS: math.Inf(-1)}
	for i := range j.at {
		j.at[i] = math.Inf(-1)
	}
}

// Several jumps in a short time are a bad contact.
const (
	jumpsInS  = 10.0
	jumpCalmS = 5.0
	jumpHoldS = 0.5 // a jump that stays for so long is taken for the truth
	jumpGapS  = 2.0 // after a longer gap anything may have happened
)

// jumped tells whether the value is not to be believed: it has just jumped, or
// jumps again and again. One that stays where it has jumped to is believed
// after a moment.
func (j *jumping) jumped(v, timeS, step, perS float64) bool {
	dt := timeS - j.timeS
	if !(dt <= jumpGapS) {
		j.value, j.timeS, j.fromS = v, timeS, math.NaN()
		return false
	}
	switch {
	case math.Abs(v-j.value) <= step+perS*dt:
		j.value, j.timeS, j.fromS = v, timeS, math.NaN()
		return timeS < j.calmS
	case math.IsNaN(j.fromS) || math.Abs(v-j.level) > step+perS*dt:
		if math.IsNaN(j.fromS) {
			j.count(timeS)
		}
		j.fromS, j.level = timeS, v
	case timeS-j.fromS >= jumpHoldS:
		j.value, j.timeS, j.fromS = v, timeS, math.NaN()
		return timeS < j.calmS
	default:
		j.level = v
	}
	return true
}

func (j *jumping) count(timeS float64) {
	j.at[j.next] = timeS
	j.next = (j.next + 1) % len(j.at)
	if timeS-j.at[j.next] <= jumpsInS { // the oldest that is kept
		j.calmS = timeS + jumpCalmS
	}
}

// sameness finds a raw value that has stopped to move.
type sameness struct {
	raw    int32
	step   int32   // least by which it ever moved, 0: it never did
	run    int     // samples in a row with that value
	n      int     // samples seen
	turns  float64 // share of samples at which the value turned back
	up     bool    // the last move was upwards
	fromS  float64 // since when the value is the same
	other0 float64 // what moves with it, then
}

// Noise turns back at two of three samples, a ramp never does. Only a signal
// with noise finer than its steps can be missed soon: one that rests between
// two steps of its converter, or has come to the end of a ramp, stands still
// by right.
const (
	samenessN     = 300
	samenessTurns = 0.5
	samenessRun   = 40
	samenessS     = 2.0
)

func (s *sameness) add(raw int32, timeS, other float64) {
	if s.run > 0 && raw == s.raw {
		s.run++
		if math.IsNaN(s.other0) {
			s.other0 = other
		}
		if s.run <= samenessRun/2 { // what may be a fault must not unlearn what is usual
			s.learn(0)
		}
		return
	}
	if s.run > 0 {
		if by := max(raw-s.raw, s.raw-raw); s.step == 0 || by < s.step {
			s.step = by
		}
		up := raw > s.raw
		turned := 0.0
		if up != s.up {
			turned = 1
		}
		s.up = up
		s.learn(turned)
	}
	s.raw, s.run, s.fromS, s.other0 = raw, 1, timeS, other
}

func (s *sameness) learn(turned float64) {
	s.n = min(s.n+1, samenessN)
	s.turns += (turned - s.turns) / float64(s.n)
}

// noiseGone says that a signal with noise has none any more.
func (s *sameness) noiseGone(timeS float64) bool {
	return s.n >= samenessN/2 && s.turns >= samenessTurns && s.run >= samenessRun && timeS-s.fromS >= samenessS
}

// scatter watches the noise from sample to sample by second differences, in
// which a steady ramp cancels. Noise turns them back and forth (neighbours
// correlate by −2/3); where a valve is moved, one stands alone. So the smaller of
// two neighbours of opposite sign counts: over all pairs the mean of its square is
// 2.97 times the variance of white noise (2 million draws).
type scatter struct {
	v1, v2, d1 float64
	t1         float64
	fast, slow float64 // mean squares
	learnedS   float64 // time over which slow was learned
	grownS     float64 // since when it has grown, NaN: it has not
}

func (s *scatter) clear() {
	nan := math.NaN()
	*s = scatter{v1: nan, v2: nan, d1: nan, t1: nan, grownS: nan}
}

const (
	scatterFastS  = 5.0
	scatterSlowS  = 300.0
	scatterLearnS = 60.0
	scatterTimes  = 5.0
	scatterCap    = 4.0 // of the usual mean square that one reading may teach
	scatterHoldS  = 10.0
	scatterPart   = 2.97
	scatterGapS   = 1.5 // samples further apart say nothing of noise
	scatterOne    = 0.6 // of the limit: what one reading may add, so that it takes several
	scatterStays  = 0.5 // of the limit: it has not grown less
)

// limit is the mean square over which noise has grown; floor is a noise that is none.
func (s *scatter) limit(floor float64) float64 {
	return max(scatterTimes*scatterTimes*s.slow, floor*floor)
}

func (s *scatter) add(v, timeS, floor float64) {
	dt := timeS - s.t1
	d := v - 2*s.v1 + s.v2
	before := s.d1
	s.v2, s.v1, s.d1, s.t1 = s.v1, v, d, timeS
	if !(dt <= scatterGapS) {
		s.v2 = math.NaN()
		return
	}
	if math.IsNaN(d) || math.IsNaN(before) {
		return
	}
	x := 0.0
	if d*before < 0 {
		least := min(math.Abs(d), math.Abs(before))
		x = least * least / scatterPart
	}
	// A bead that gas blows on, or leaves, turns back once or twice at a second's
	// rhythm; noise does so again and again.
	s.fast += (min(x, scatterOne*s.limit(floor)*scatterFastS/max(dt, 1e-3)) - s.fast) * min(dt/scatterFastS, 1)
	if s.learnedS > scatterLearnS { // noise that grows must not become the usual at once
		x = min(x, scatterCap*s.slow)
	}
	if math.IsNaN(s.grownS) {
		s.slow += (x - s.slow) * min(dt/min(max(s.learnedS, scatterFastS), scatterSlowS), 1)
		s.learnedS += dt
	}
}

// grown says whether the noise has been many times its usual, and above a
// floor, for a while.
func (s *scatter) grown(floor, timeS float64) bool {
	limit := s.limit(floor)
	if !math.IsNaN(s.grownS) {
		limit *= scatterStays
	}
	if !(s.learnedS >= scatterLearnS) || s.fast <= limit {
		s.grownS = math.NaN()
		return false
	}
	if math.IsNaN(s.grownS) {
		s.grownS = timeS
	}
	return timeS-s.grownS >= scatterHoldS
}

// seconds keeps one value a second of the last minute.
type seconds struct {
	v     [secondsMost]float64
	n     int
	head  int // next to be written
	lastS float64
	sum   float64
	k     int
}

const secondsMost = 64

func (p *seconds) add(v, timeS float64) {
	if p.n > 0 && timeS-p.lastS > 5 { // a gap: the past is another time
		p.n, p.sum, p.k = 0, 0, 0
	}
	p.sum += v
	p.k++
	if p.n > 0 && timeS-p.lastS < 1-1e-6 {
		return
	}
	p.v[p.head] = p.sum / float64(p.k)
	p.head = (p.head + 1) % secondsMost
	p.n = min(p.n+1, secondsMost)
	p.lastS, p.sum, p.k = timeS, 0, 0
}

// span is the most less the least of the last n entries, NaN when there are not
// so many.
func (p *seconds) span(n int) float64 {
	least, most := p.ago(0), p.ago(0)
	for i := 1; i <= n; i++ {
		least, most = math.Min(least, p.ago(i)), math.Max(most, p.ago(i))
	}
	return most - least
}

// ago is the value n entries back, NaN when there is none. Entries are a
// second apart, or a sample for slower loggers.
func (p *seconds) ago(n int) float64 {
	if n >= p.n {
		return math.NaN()
	}
	return p.v[(p.head-1-n+2*secondsMost)%secondsMost]
}
