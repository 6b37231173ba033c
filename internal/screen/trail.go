package screen

import (
	"sync"

	"fillwright/internal/course"
	"fillwright/internal/monitor"
)

// Columns of the past, K.
const (
	trailHottest = iota
	trailGas
	trailColumns
)

// Trail is the past that the chart shows. Whoever steps the monitor may feed it
// with every Snapshot, from another goroutine than the screen's.
type Trail struct {
	mu     sync.Mutex
	course *course.Series[float64]
}

// NewTrail makes an empty Trail.
func NewTrail() *Trail { return &Trail{course: course.New[float64](trailColumns)} }

// Add takes a Snapshot in.
func (t *Trail) Add(s *monitor.Snapshot) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.course.Add(s.TimeS, []float64{trailHottest: s.HottestK, trailGas: s.GasK})
}

// over is the stretch from one time to another in n rows.
func (t *Trail) over(fromS, toS float64, n int) []course.Row[float64] {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.course.Over(fromS, toS, n)
}
