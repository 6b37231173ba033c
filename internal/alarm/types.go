// Package alarm keeps alarm states after ISA-18.2 / IEC 62682.
package alarm

import "fillwright/internal/wording"

// Level is how bad it is.
type Level uint8

// The levels.
const (
	LevelNone Level = iota
	LevelAdvisory
	LevelCaution
	LevelAbort
)

var levelNames = [...]string{"none", "advisory", "caution", "abort"}

// String is the name in JSON.
func (l Level) String() string { return levelNames[l] }

// State is an alarm's state.
type State uint8

// The states of the standard that fillwright uses.
const (
	StateNormal         State = iota
	StateUnacknowledged       // condition present, not accepted
	StateAcknowledged         // condition present, accepted
	StateReturned             // condition gone, not accepted
	StateLatched              // condition gone, accepted or not, kept until reset
)

var stateNames = [...]string{"normal", "unacknowledged", "acknowledged", "returned", "latched"}

// String is the name in JSON.
func (s State) String() string { return stateNames[s] }

// Active is one alarm that is not normal.
type Active struct {
	Name   string // stable, kebab-case: wall-margin
	Level  Level
	State  State
	SinceS float64      // session time it was raised
	EndS   float64      // session time its condition was gone; NaN while it is present
	First  bool         // the first of a group: look here first
	Cause  wording.Text // what is the case, with numbers where they help; once it is over, what was
	Do     string       // what to do, one short imperative sentence; empty once there is nothing left to do
}

// Present says whether an alarm's condition is the case now: only then may
// its colour and its order be shown.
func (a *Active) Present() bool {
	return a.State == StateUnacknowledged || a.State == StateAcknowledged
}
