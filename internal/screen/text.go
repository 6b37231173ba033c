package screen

import (
	"math"
	"strconv"

	"fillwright/internal/quantity"
)

// never stands where a limit is not reached at all.
const never = "never"

// clock is a span of time as the screen shows it: "1:15", "never" for +Inf,
// "--" for what is not known.
func clock(s float64) string { return clockOr(s, never) }

// clockOr is clock with other words for +Inf.
func clockOr(s float64, endless string) string {
	if math.IsInf(s, 1) {
		return endless
	}
	return quantity.Clock(s)
}

// clockCells is the room that a clock gets: "1:02:05".
const clockCells = 7

// marginNumber prints the margin rounded down: what is left is never shown as
// more than it is.
func marginNumber(u quantity.System, k float64) string {
	x := u.DifferenceValue(k)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Unknown
	}
	// A hair above a tenth is that tenth, not the one below it.
	x = math.Floor(x*10+1e-9) / 10
	if x == 0 {
		x = 0
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
}
