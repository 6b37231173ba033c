package session

import (
	"math"
	"sync"

	"fillwright/internal/advise"
	"fillwright/internal/leak"
	"fillwright/internal/monitor"
	"fillwright/internal/wording"
)

// mailbox holds the newest Snapshot only. Whoever is slow misses Snapshots;
// nobody waits for anybody.
type mailbox struct {
	notice chan struct{} // has room for one

	mu     sync.Mutex // held for a copy at the most
	newest monitor.Snapshot
}

func (m *mailbox) init() {
	m.newest, m.notice = Unknown(), make(chan struct{}, 1)
}

func (m *mailbox) latest() monitor.Snapshot {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.newest
}

func (m *mailbox) put(s *monitor.Snapshot) {
	m.mu.Lock()
	m.newest = *s
	m.mu.Unlock()
	m.announce()
}

func (m *mailbox) announce() {
	select {
	case m.notice <- struct{}{}:
	default:
	}
}

// Unknown is the Snapshot before the first input: no number in it is known.
func Unknown() monitor.Snapshot {
	nan := math.NaN()
	return monitor.Snapshot{
		PressurePa: nan, TargetPa: nan, RampPaS: nan, BeadK: nan, GasK: nan, GasBandK: nan, AmbientK: nan,
		Hottest: -1, HottestK: nan, BandK: nan, MarginK: nan, GasMassKg: nan,
		Advice: advise.Advice{Reason: wording.WaitingForLogger, RampPaS: nan, PeakK: nan, PeakBandK: nan,
			PeakInS: nan, TargetInS: nan, WaitS: nan},
		Outlook: advise.Outlook{CoastPeakK: nan, CoastPeakBandK: nan, CoastPeakInS: nan, ToLimitS: nan,
			SettlePa: nan, HoldLimitS: nan, VentColdK: nan},
		Leak:    leak.Unknown(),
		Sides:   monitor.Sides{}.Unknown(),
		Summary: monitor.NoSummary(),
		Link:    monitor.Link{AgeS: nan, SampleHz: nan},
	}
}
