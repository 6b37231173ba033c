package leak

import "fillwright/internal/phase"

// Leak is what is found of a leak from hold to hold. One that was called stands
// in every phase until the vessel is vented or a second look takes it back: gas
// that left does not come back because the valve was turned.
type Leak struct {
	Found  Verdict // on the hold under way
	Called bool
	Looks  bool // a second look is under way
	called Verdict
	hold   watch
	look   watch
}

// Begin forgets what was found: another phase begins at time t. It tells whether
// that cuts a second look short.
func (l *Leak) Begin(t float64) (cutShort bool) {
	cutShort = l.Looks
	l.hold.restart(t)
	l.Found, l.Looks = Unknown(), false
	return cutShort
}

// Look begins a second look at a called leak on a hold that began at sinceS.
func (l *Leak) Look(t, sinceS float64) {
	l.Looks = true
	l.look.restart(t)
	l.look.shutS = sinceS
	if t-sinceS > phase.StirredS {
		l.look.nextS = t // the gas has come to rest already
	}
}

// Outcome is how a second look ended.
type Outcome uint8

// The outcomes.
const (
	None      Outcome = iota // it has not
	Stands                   // the leak was seen again
	TakenBack                // what was called is ruled out
	NotTold                  // it can't be told
)

// SecondLookS: a second look is as long as a look of its own, and must rule out what was
// called; common practice, no source.
const SecondLookS = 60.0

// Add takes a point of a hold. Where it ends a second look, found is what that
// look found.
func (l *Leak) Add(p Point) (how Outcome, found Verdict) {
	if l.hold.add(p) {
		l.Found, _ = l.hold.verdict()
	}
	if !l.Looks || !l.look.add(p) {
		return None, Verdict{}
	}
	found, ok := l.look.verdict()
	switch {
	case !ok || l.look.spanS() < SecondLookS:
		return None, Verdict{}
	case found.Significant:
		l.Looks, l.called = false, found
		return Stands, found
	case found.RateKgS+found.BandKgS < l.called.RateKgS:
		// What was looked at before would call it again.
		*l = Leak{Found: found, hold: l.look}
		return TakenBack, found
	case l.look.n == keep:
		l.Looks = false
		return NotTold, found
	}
	return None, Verdict{}
}

// Call calls the leak that was found, or finds the called one anew.
func (l *Leak) Call() {
	if l.Found.Significant {
		l.Called, l.called = true, l.Found
	}
}

// Vented lets a called leak go with the gas.
func (l *Leak) Vented() {
	if l.Called || l.Looks {
		l.Called, l.Looks, l.called, l.look = false, false, Verdict{}, watch{}
	}
}

// Standing tells whether a leak was called that the hold under way does not show.
func (l *Leak) Standing() bool { return l.Called && !l.Found.Significant }

// Verdict is what was found, or the leak that was called.
func (l *Leak) Verdict() Verdict {
	if !l.Standing() {
		return l.Found
	}
	v := l.called
	v.Significant = true
	return v
}
