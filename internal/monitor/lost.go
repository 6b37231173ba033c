package monitor

import (
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// lost counts the logger's frames that never came, by the gaps in their seq;
// a damaged one shows as a lost one too.
type lost struct {
	known  bool
	seq    uint8
	toldS  float64 // session time at which it was last told
	untold uint64
	told   uint64
}

// lostEveryS is the least time between two events that tell of lost frames.
const lostEveryS = 30.0

// joined says that the next frame sets the count: after a restart, and when
// the cable came back.
func (l *lost) joined() { l.known = false }

// follow counts the logger's frames and tells of lost ones.
func (m *Monitor) follow(f wire.Frame) {
	l := &m.lost
	if f.Type < wire.TypeAskHello && f.Type != 0 {
		if gap := f.Seq - l.seq - 1; l.known && gap != 255 { // the same one again is no loss
			m.snap.Link.Lost += uint64(gap)
			l.untold += uint64(gap)
		}
		l.known, l.seq = true, f.Seq
	}
	if now := m.snap.TimeS; l.untold > 0 && (l.told == 0 || now-l.toldS >= lostEveryS) {
		m.events.add(now, EventLink, wording.FramesLost(l.untold, m.snap.Link.Lost))
		l.told, l.untold, l.toldS = m.snap.Link.Lost, 0, now
	}
}
