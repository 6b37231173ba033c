package wording

import (
	"math"
	"strings"
)

// What stands large on the screen and first in a plain line, and why. The rules
// are those of sentences.go; here sentences have their full stops. Quantities
// come printed, in the operator's units.

// Order is a verdict as the operator reads it from ten metres.
type Order struct {
	Big  string // always shown whole
	Tail string // follows it, large where there is room
}

// String is all of it.
func (o Order) String() string { return strings.TrimSpace(o.Big + " " + o.Tail) }

// The orders, and the states that must not look like one.
var (
	KeepShut       = Order{"KEEP SHUT", ""}
	ReadyToFill    = Order{"READY", ""}
	Fill           = Order{"FILL", ""}
	EaseOff        = Order{"EASE OFF", ""}
	MayTopUp       = Order{"MAY TOP UP", ""}
	DoNotStart     = Order{"DO NOT START", ""}
	ShutNow        = Order{"SHUT", "THE SUPPLY NOW"}
	Vent           = Order{"VENT", "FROM A DISTANCE"}
	ShutSupply     = Order{"SHUT", "THE SUPPLY"}
	ShutNoData     = Order{"SHUT", "NO DATA"} // a word that counts down is waited for
	NoData         = Order{"NO DATA", ""}
	DoNotStartYet  = Order{"DO NOT START", "NO DATA YET"}
	DoNotStartOld  = Order{"DO NOT START", "NO DATA"}
	KeepShutNoData = Order{"KEEP SHUT", "NO DATA"}
	Emptying       = Order{"EMPTYING", ""} // not like VENT, the order
	Ended          = Order{"ENDED", ""}    // FILL would be read first
)

// ToDo is the order before a fill of which n checks are open.
func ToDo(n string) Order { return Order{"DO NOT START", n + " TO DO"} }

// Why, where nothing is known yet, or nothing new comes.
const (
	WaitForReading   = "Waiting for the first reading of the logger. Do not start. If gas flows, shut the supply."
	LetVent          = "Let it vent. Keep your distance. "
	LetVentUntil     = "Let it vent until it is empty. Keep your distance. "
	ShutTheSupplyNow = "Shut the supply now. "
	ShutUntilData    = "Shut the supply until there are data. "
	NotToStart       = "Do not start."
	NoDataYet        = "No reading has come yet. "
	NoReason         = "No reason was given. Count it as not known."
	StillRecorded    = "Reading what was recorded; it is not of now yet. "
	AccountIsAtR     = "r shows the account of the fill."
)

func NoNewData(age string) string { return "No new data for " + age + ". " }

func CableDown(age string) string { return "The cable is down. No new data for " + age + ". " }

func NothingFromWatch(age string) string {
	return "Nothing has come from the watch for " + age + ". Ask the operator. "
}

func LastKnownThere(o Order) string { return "Last known there: " + o.String() + ". " }

// Why, while the data are fresh: the order comes first.

func ShutNowFor(reason string) string { return "Shut the supply now: " + Lower(reason) }

func ShutAndVentFor(reason string) string { return "Shut the supply and vent: " + Lower(reason) }

func KeepAwayAndVentFor(reason string) string { return "Keep away and vent: " + Lower(reason) }

func LookAtGauge(pressure string) string {
	return "The pressure reads " + pressure + ". Look at a second gauge before you go near. "
}

func NoOtherFill(reason string) string { return "Do not start another fill: " + Lower(reason) }

func DoFirst(items, ramp, reason string) string {
	return "Do first: " + items + ". Then at most " + ramp + ". " + reason
}

// FromOn is the next change of the ramp: from a pressure on, in how many seconds if
// that is known, another.
func FromOn(pressure string, inS float64, ramp string) string {
	when := ""
	if inS > 0 && !math.IsInf(inS, 1) {
		when = " (in " + Minutes(inS) + ")"
	}
	return "From " + pressure + " on" + when + " at most " + ramp + ". "
}
