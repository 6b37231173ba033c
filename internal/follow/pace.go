package follow

import (
	"math"
	"time"

	"fillwright/internal/monitor"
)

// pace judges by the clock of this side whether what comes is of now. Session
// time goes on four times a second wherever something is recorded. While it
// runs faster than the clock here, the past is being read. Then the least
// difference between the two clocks is the base, as in network time; what lies
// above it came late.
type pace struct {
	marks  []paceMark // of the last seconds, oldest first
	base   float64    // least difference of the clocks, s; valid while live
	live   bool
	local  float64 // when the newest came
	late   float64
	wall   float64 // difference of the hosts' own clocks, s
	wallIs bool
	unixMS int64
	from   time.Time
}

type paceMark struct{ local, timeS float64 }

const (
	markEveryS = 0.1
	windowS    = 2.0
	spanLeastS = 1.0 // less says nothing of the pace
	marksMost  = 64
	fasterMost = 1.5  // faster than the clock by this is no present
	creep      = 2e-4 // by which two clocks may part: four times what a computer's quartz does (common practice, no source)
	backS      = 1.0  // session time that jumps back by this is another session's
	lateTellS  = 1.0  // what is later than this is told
	wallSameS  = 1.0  // by which the hosts' own clocks may differ and count as the same
)

// at notes that the newest Snapshot came now.
func (p *pace) at(now time.Time, s *monitor.Snapshot, speed float64) {
	if !known(s.TimeS) {
		return
	}
	if p.from.IsZero() {
		p.from = now
	}
	m := paceMark{now.Sub(p.from).Seconds() * speed, s.TimeS}
	if n := len(p.marks); n > 0 && m.timeS < p.marks[n-1].timeS-backS {
		*p = pace{from: p.from} // another session
	}
	if n := len(p.marks); n == 0 || m.local-p.marks[n-1].local >= markEveryS*speed {
		p.marks = append(p.marks, m)
	}
	for len(p.marks) > 1 && (m.local-p.marks[1].local >= windowS*speed || len(p.marks) > marksMost) {
		p.marks = p.marks[1:]
	}
	first := p.marks[0]
	span := m.local - first.local
	d := m.local - m.timeS
	passed := m.local - p.local
	p.local = m.local
	switch {
	case span < spanLeastS*speed:
		return
	case m.timeS-first.timeS > fasterMost*span:
		p.live, p.late = false, 0
		return
	case !p.live || d < p.base:
		p.live, p.base = true, d
	default:
		p.base += creep * passed
	}
	p.late = d - p.base
	p.compare(now, s)
}

// compare holds the hosts' own clocks against each other where the recording
// tells its own, once a minute. If they stand to each other as before, what
// seems late is not: the maker's computer slept, and its session time with it.
func (p *pace) compare(now time.Time, s *monitor.Snapshot) {
	if s.UnixMS == p.unixMS || s.UnixMS == 0 {
		return
	}
	told := p.unixMS != 0
	if p.unixMS = s.UnixMS; !told {
		return // nobody knows how long ago it was told
	}
	wall := float64(now.UnixMilli()-s.UnixMS) / 1000
	switch {
	case !p.wallIs:
		p.wall, p.wallIs = wall, p.late < lateTellS
	case p.late >= lateTellS && math.Abs(wall-p.wall) < wallSameS:
		p.base += p.late
		p.late = 0
	}
}

// lateS is how much later than it was recorded the newest came; +Inf while that
// is not known.
func (p *pace) lateS() float64 {
	if !p.live {
		return math.Inf(1)
	}
	return p.late
}
