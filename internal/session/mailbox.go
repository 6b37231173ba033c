package session

import (
	"sync"

	"fillwright/internal/monitor"
)

// mailbox holds the newest Snapshot only. Whoever is slow misses Snapshots;
// nobody waits for anybody.
type mailbox struct {
	notice chan struct{} // has room for one

	mu     sync.Mutex // held for a copy at the most
	newest monitor.Snapshot
}

func (m *mailbox) init() {
	m.newest, m.notice = monitor.Unknown(), make(chan struct{}, 1)
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
