package clock

import (
	"fmt"
	"math"
)

// Fault says what is wrong with the logger's clock.
type Fault uint8

// The faults.
const (
	FaultNone    Fault = iota
	FaultStands        // samples come and their time does not go on
	FaultBack          // its time went back, and no hello told of a restart
	FaultAhead         // its time jumped ahead
	FaultFast          // it runs more than 2 % fast
	FaultSlow          // it runs more than 2 % slow
	FaultBehind        // readings come later and later
	FaultRestart       // the logger starts again and again
)

// faulty is what was found.
type faulty struct {
	fault    Fault
	size     float64 // seconds, or how many seconds it makes in one
	tillMS   float64 // a jump counts until then
	sinceMS  float64 // session time since when readings can't be dated, NaN: they can
	stoodMS  float64 // session time of the first of the samples that did not go on, 0: none
	stoodN   int
	begins   [3]float64 // session times + 1 of the last beginnings
	beganN   int
	stepBack bool
}

const (
	jumpHoldMS  = 5000.0  // for so long a jump counts
	standMostMS = 1000.0  // samples that repeat their time for so long are of a clock that stands
	leadMS      = 3000.0  // over which what a fast clock wins is summed
	restartInMS = 10000.0 // three beginnings in this time are too many
)

func (f *faulty) moved() { f.stoodMS, f.stoodN = 0, 0 }

func (f *faulty) stood(nowMS float64, stepMS int64) {
	if f.stoodN == 0 {
		f.stoodMS, f.stepBack = nowMS, false
	}
	f.stoodN++
	f.stepBack = stepMS < 0
}

func (f *faulty) began(nowMS float64) {
	f.moved()
	f.begins[f.beganN%len(f.begins)] = nowMS + 1
	f.beganN++
}

// wentBack is told when device time is seconds back; samples before that may
// have stepped back by less.
func (f *faulty) wentBack(nowMS, byMS float64) {
	if math.IsNaN(f.sinceMS) && f.stoodN > 0 {
		f.sinceMS = f.stoodMS
	}
	f.jump(FaultBack, nowMS, byMS)
}

func (f *faulty) wentAhead(nowMS, byMS float64) { f.jump(FaultAhead, nowMS, byMS) }

func (f *faulty) jump(fault Fault, nowMS, byMS float64) {
	f.fault, f.size, f.tillMS = fault, byMS/1000, nowMS+jumpHoldMS
}

// often tells whether the last three beginnings came within a short time.
func (f *faulty) often(nowMS float64) bool {
	for _, at := range f.begins {
		if at == 0 || nowMS+1-at > restartInMS {
			return false
		}
	}
	return true
}

// judge says what is wrong now, and since when readings can't be dated.
func (f *faulty) judge(h *host) {
	now := h.nowMS
	byMS, lowMS := h.lags.grown(now)
	lead := h.leads.total(now, leadMS)
	rate, off := h.drift.off()
	settling := now-h.beginMS <= settleMS
	since := now
	switch {
	case f.stoodN > 1 && now-f.stoodMS > standMostMS:
		f.fault, f.size, since = FaultStands, (now-f.stoodMS)/1000, f.stoodMS
		if f.stepBack {
			f.fault = FaultBack
		}
	case f.often(now):
		f.fault = FaultRestart
	case now < f.tillMS:
	case byMS > strideMS:
		f.fault, f.size, since = FaultBehind, h.lagMS/1000, math.Min(lowMS, now)
	case lead > strideMS && !settling:
		f.fault, f.size = FaultFast, 1+lead/leadMS
		if off {
			f.size = rate
		}
		since = now - math.Min(lead, leadMS)
	case off:
		f.fault, f.size = FaultSlow, rate
		if rate > 1 {
			f.fault = FaultFast
		}
	default:
		f.fault, f.size = FaultNone, 0
	}
	unsure := f.fault != FaultNone || lead > strideMS || now-h.beginMS < proveMS || h.deviceMS == 0
	switch {
	case !unsure:
		f.sinceMS = math.NaN()
	case math.IsNaN(f.sinceMS):
		f.sinceMS = since
	}
}

// Trouble is what is wrong with the logger's clock, and by how much: seconds,
// or for FaultFast and FaultSlow how many seconds it makes in one.
func (c *Clock) Trouble() (f Fault, size float64) {
	if !c.host.known || !c.started {
		return FaultNone, 0
	}
	return c.host.fault, c.host.size
}

// UnsureS is the session time since when readings can't be dated; NaN: they
// can. Without a host it is not known to be otherwise.
func (c *Clock) UnsureS() float64 {
	if !c.host.known || !c.started {
		return math.NaN()
	}
	return c.host.sinceMS / 1000
}

// Text says in words what is wrong, empty for FaultNone.
func (f Fault) Text(size float64) string {
	switch f {
	case FaultStands:
		return fmt.Sprintf("the logger's clock has stood still for %.0f s", size)
	case FaultBack:
		return "the logger's clock runs backwards, or went back without a restart told"
	case FaultAhead:
		return fmt.Sprintf("the logger's clock jumped ahead by %.1f s, or this computer slept", size)
	case FaultFast, FaultSlow:
		return fmt.Sprintf("the logger's clock makes %.2f s in one second", size)
	case FaultBehind:
		return fmt.Sprintf("readings come %.1f s late, later and later: a slow clock or a slow line", size)
	case FaultRestart:
		return "the logger starts again and again"
	}
	return ""
}
