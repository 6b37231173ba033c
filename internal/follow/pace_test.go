package follow

import (
	"math"
	"testing"
	"time"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
)

// hosts are the clocks of the maker and of this side, s.
type hosts struct {
	p           pace
	here, there float64
	wall        float64 // of the maker, s
	began       time.Time
}

func newHosts() *hosts { return &hosts{began: time.Unix(1e9, 0), wall: 1e9 + 300} } // the maker's clock is five minutes off

// pass lets time pass on both sides, with something coming each 50 ms; ratio is
// how fast session time goes by the clock here.
func (h *hosts) pass(seconds, ratio float64) {
	for range int(math.Round(seconds / 0.05)) {
		h.here += 0.05
		h.there += 0.05 * ratio
		h.wall += 0.05
		h.come()
	}
}

func (h *hosts) come() {
	s := monitor.Snapshot{TimeS: h.there, UnixMS: int64(math.Floor(h.wall/60) * 60000)}
	h.p.at(h.began.Add(time.Duration(h.here*float64(time.Second))), &s, 1)
}

// TestPastIsNotNow proves that what is read faster than it was recorded is not
// of now, and that two seconds after it has caught up it is.
func TestPastIsNotNow(t *testing.T) {
	h := newHosts()
	for range 40 {
		h.pass(0.1, 60)
		must.Need(t, math.IsInf(h.p.lateS(), 1), "the past passes for the present")
	}
	h.pass(2.2, 1)
	late := h.p.lateS()
	must.Be(t, late < 0.2, "%g s late after it has caught up", late)
}

// TestOldFileIsNotNow proves that a file that was read at one go and grows no
// more never counts as of now.
func TestOldFileIsNotNow(t *testing.T) {
	h := newHosts()
	h.there = 3600
	h.come()
	h.there += 1
	h.come()
	must.Be(t, math.IsInf(h.p.lateS(), 1), "an old file passes for the present")
}

// TestLate proves that what comes later than it was recorded is told as late by
// that much, however long it lasts, and not when it has come in time again.
func TestLate(t *testing.T) {
	h := newHosts()
	h.pass(10, 1)
	h.here += 6 // the pipe held it up, and goes on as fast as before
	h.pass(600, 1)
	late := h.p.lateS()
	must.Be(t, math.Abs(late-6) < 0.3, "%g s late, want 6", late)
	h.there += 6 // and gives up what it held
	h.pass(10, 1)
	late = h.p.lateS()
	must.Be(t, late < 0.3, "%g s late, want none", late)
}

// TestClocksThatPart proves that two computers whose clocks part by 100 ppm are
// not late after a day.
func TestClocksThatPart(t *testing.T) {
	for _, ratio := range []float64{1 - 1e-4, 1 + 1e-4} {
		h := newHosts()
		h.pass(24*3600, ratio)
		late := h.p.lateS()
		must.Be(t, late < 0.2, "ratio %g: %g s late after a day", ratio, late)
	}
}

// TestMakerSlept proves that a maker whose computer slept is not called late for
// ever: the hosts' own clocks say that it is of now.
func TestMakerSlept(t *testing.T) {
	h := newHosts()
	h.pass(130, 1)
	h.here, h.wall = h.here+40, h.wall+40
	h.pass(1, 1)
	late := h.p.lateS()
	must.Be(t, late > 30, "%g s late right after it", late)
	h.pass(120, 1)
	late = h.p.lateS()
	must.Be(t, late < 1, "%g s late two minutes after it", late)
}

// TestAnotherSession proves that a session that begins anew is judged anew.
func TestAnotherSession(t *testing.T) {
	h := newHosts()
	h.pass(10, 1)
	h.there = 0
	h.come()
	must.Be(t, math.IsInf(h.p.lateS(), 1), "live at once")
	h.pass(3, 1)
	late := h.p.lateS()
	must.Be(t, late < 0.3, "%g s late", late)
}
