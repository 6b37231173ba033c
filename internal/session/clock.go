package session

import "time"

// Clock is time as the session sees it.
type Clock interface {
	Now() time.Time
	// Tick sends the time about every d until stop is called. Ticks that are
	// not taken are left out.
	Tick(d time.Duration) (c <-chan time.Time, stop func())
}

// SystemClock is the computer's clock.
func SystemClock() Clock { return systemClock{} }

type systemClock struct{}

func (systemClock) Now() time.Time { return time.Now() }

func (systemClock) Tick(d time.Duration) (<-chan time.Time, func()) {
	t := time.NewTicker(d)
	return t.C, t.Stop
}
