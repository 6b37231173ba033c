// Package practice keeps the account of a practised fill: what a pretended
// vessel truly did under the hand of a person, what the screen said of it, and
// how fast each alarm was answered. The vessel is invented; so is its truth.
package practice

import (
	"math"
	"sync"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/vessel"
)

// Limits of an account.
const (
	fillsMost  = 20 // of one practice
	alarmsMost = 40 // of one fill
)

// What counts in it. All are our own choice.
const (
	filledPa    = 1e5 // what never came above this was no fill
	ventedPa    = 5e3 // below this a fill has ended
	rampMemoryS = 1.0 // over which a ramp is taken
	rampMore    = 1.1 // so many times the advised ramp is above it
)

// Account is what a practice has come to so far. Safe for use by several
// goroutines.
type Account struct {
	mu     sync.Mutex
	onsetK float64
	fills  []*fill
	now    *fill // under way
	lastS  float64
	lastPa float64
	ramp   float64
	begun  bool
	events uint64 // seen so far
}

// fill is from the first gas until the vessel is vented. Times are the vessel's.
type fill struct {
	beginS, endS   float64
	done           bool
	hottestK       float64 // true
	hottestS       float64
	shownK         float64 // hottest wall as shown at that moment
	shownBandK     float64
	marginLeastK   float64 // as shown
	missK          float64 // estimate less truth where that was worst
	knownS         float64 // how long there was an estimate
	outsideS       float64 // how long the truth lay outside its band
	pressureMostPa float64
	rampMostPaS    float64
	openS          float64 // how long the supply was open
	aboveS         float64 // how long faster than advised
	answers        []answer
}

// New is the account of a practice with a vessel.
func New(v *vessel.Profile) *Account { return &Account{onsetK: float64(v.Resin.Onset)} }

// See takes in the truth of a moment, and what the screen made of it.
func (a *Account) See(r mimic.Row, s *monitor.Snapshot) {
	a.mu.Lock()
	defer a.mu.Unlock()
	dt := r.TimeS - a.lastS
	seen := seenIn(s, a.events)
	a.events = s.EventCount
	if a.begun && !(dt > 0) {
		a.now.answered(r, s, seen) // an entry between two samples may be the answer to an alarm
		return
	}
	if a.begun {
		a.ramp += ((r.PressurePa-a.lastPa)/dt - a.ramp) * math.Min(dt/rampMemoryS, 1)
	}
	a.begun, a.lastS, a.lastPa = true, r.TimeS, r.PressurePa
	if a.now == nil && r.Valve.Action == mimic.Fill && len(a.fills) < fillsMost {
		a.now = &fill{beginS: r.TimeS, hottestK: math.Inf(-1), marginLeastK: math.NaN(), shownK: math.NaN(), shownBandK: math.NaN()}
		a.fills = append(a.fills, a.now)
	}
	if a.now == nil {
		return
	}
	a.now.add(r, s, dt, a.ramp)
	a.now.answered(r, s, seen)
	if r.PressurePa < ventedPa && r.Valve.Action != mimic.Fill {
		a.end()
	}
}

// end closes the fill under way; one that came to nothing is forgotten.
func (a *Account) end() {
	if a.now.done = true; a.now.pressureMostPa < filledPa {
		a.fills = a.fills[:len(a.fills)-1]
	}
	a.now = nil
}

func (f *fill) add(r mimic.Row, s *monitor.Snapshot, dt, ramp float64) {
	f.endS = r.TimeS
	if r.HottestK > f.hottestK {
		f.hottestK, f.hottestS, f.shownK, f.shownBandK = r.HottestK, r.TimeS, s.HottestK, s.BandK
	}
	if off := s.HottestK - r.HottestK; !math.IsNaN(off) && !math.IsNaN(s.BandK) {
		f.knownS += dt
		if math.Abs(off) > s.BandK {
			f.outsideS += dt
		}
		if math.Abs(off) > math.Abs(f.missK) {
			f.missK = off
		}
	}
	if !(s.MarginK >= f.marginLeastK) && !math.IsNaN(s.MarginK) {
		f.marginLeastK = s.MarginK
	}
	f.pressureMostPa = math.Max(f.pressureMostPa, r.PressurePa)
	if r.Valve.Action == mimic.Fill {
		f.openS += dt
		f.rampMostPaS = math.Max(f.rampMostPaS, ramp)
		if ramp > rampMore*allowed(&s.Advice) {
			f.aboveS += dt
		}
	}
}

// allowed is the ramp that the advice allows, 0 where it asks for no gas.
func allowed(a *advise.Advice) float64 {
	if !a.Verdict.AsksForGas() || math.IsNaN(a.RampPaS) {
		return 0
	}
	return a.RampPaS
}

// answered takes up new alarms, and what was done about the others.
func (f *fill) answered(r mimic.Row, s *monitor.Snapshot, seen string) {
	if f == nil {
		return
	}
	for i := range s.Alarms {
		al := &s.Alarms[i]
		if al.State == alarm.StateUnacknowledged && !f.knows(al) && len(f.answers) < alarmsMost {
			f.answers = append(f.answers, newAnswer(al, r))
		}
	}
	for i := range f.answers {
		f.answers[i].look(r, seen)
	}
}

func (f *fill) knows(al *alarm.Active) bool {
	for i := range f.answers {
		if f.answers[i].is(al) {
			return true
		}
	}
	return false
}
