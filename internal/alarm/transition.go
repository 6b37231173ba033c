package alarm

// condition is a state of the standard's diagram with its letters: the
// exported State does not tell E from F.
type condition uint8

const (
	normal     condition = iota // A
	unaccepted                  // B
	accepted                    // C
	returned                    // D
	latched                     // E: gone, not accepted
	latchedOK                   // F: gone, accepted, not reset
)

// event is what can happen to an alarm.
type event uint8

const (
	appears event = iota
	clears
	accept
	reset
)

var states = [...]State{StateNormal, StateUnacknowledged, StateAcknowledged, StateReturned, StateLatched, StateLatched}

// next is the state diagram of ISA-18.2 / IEC 62682 without shelving and
// out-of-service, which fillwright does not offer: no alarm here can be put
// aside. An event that means nothing in a state leaves it.
func next(c condition, e event, latching bool) condition {
	switch e {
	case appears:
		if c != accepted {
			return unaccepted
		}
	case clears:
		switch {
		case c == unaccepted && latching:
			return latched
		case c == unaccepted:
			return returned
		case c == accepted && latching:
			return latchedOK
		case c == accepted:
			return normal
		}
	case accept:
		switch c {
		case unaccepted:
			return accepted
		case returned:
			return normal
		case latched:
			return latchedOK
		}
	case reset:
		if c == latchedOK {
			return normal
		}
	}
	return c
}
