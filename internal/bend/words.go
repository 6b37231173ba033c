package bend

import (
	"fmt"
	"math"

	"fillwright/internal/laminate"
)

// Way is which way a vessel bends, with the band minded.
type Way uint8

// The ways. Away: the warm side is the longer one, on the outside of the bow,
// and the ends turn from it.
const (
	WayUnknown Way = iota
	WayAway
	WayToward
	WayEither
)

var wayNames = [...]string{"unknown", "away", "toward", "either"}

// String is the name in JSON.
func (w Way) String() string { return wayNames[w] }

// WayOf reads it off a bow.
func WayOf(b laminate.Bow) Way {
	f := b.CurvaturePerM
	switch {
	case f.Low > 0:
		return WayAway
	case f.High < 0:
		return WayToward
	case f.Low <= 0 && f.High >= 0:
		return WayEither
	}
	return WayUnknown
}

// leastM is what is not worth a word: half of the last digit that mm prints.
const leastM = 0.05e-3

// Bows tells how far and which way: "0.8 mm (0.4 to 1.3) away from it".
func Bows(b laminate.Bow, it string) string {
	f := b.SagM
	if math.Max(-f.Low, f.High) < leastM {
		return fmt.Sprintf("less than %s mm", mm(2*leastM))
	}
	switch WayOf(b) {
	case WayAway:
		return fmt.Sprintf("%s mm (%s to %s) away from %s", mm(f.Value), mm(f.Low), mm(f.High), it)
	case WayToward:
		return fmt.Sprintf("%s mm (%s to %s) toward %s", mm(f.Value), mm(f.High), mm(f.Low), it)
	case WayEither:
		return fmt.Sprintf("either way, up to %s mm", mm(math.Max(-f.Low, f.High)))
	}
	return "--"
}

// mm prints a length's size in millimetres with what it can mean.
func mm(m float64) string {
	if x := math.Abs(1e3 * m); x < 9.95 {
		return fmt.Sprintf("%.1f", x)
	} else if !math.IsNaN(x) {
		return fmt.Sprintf("%.0f", x)
	}
	return "--"
}

// percent prints a share with its band: "63 % (48 to 78)".
func percent(f laminate.Figure) string {
	if math.IsNaN(f.Value + f.Low + f.High) {
		return "--"
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*f.Value, 100*f.Low, 100*f.High)
}

// Line is the hazard in one line, for a screen: what the warm side keeps, and
// how the vessel bows.
func Line(warm string, b laminate.Bow) string {
	if WayOf(b) == WayUnknown {
		return Keeps(warm, b)
	}
	return Keeps(warm, b) + ": bows " + Bows(b, "it")
}

// Keeps is the first half of Line: "sun side at 63 % of its stiffness".
func Keeps(warm string, b laminate.Bow) string {
	if math.IsNaN(b.SunShare.Value) {
		return "stiffness of the sides: not known"
	}
	return fmt.Sprintf("%s side at %.0f %% of its stiffness", warm, 100*b.SunShare.Value)
}

// HowSure is said wherever a bow is.
const HowSure = "How a resin softens is known so badly that a bow may be off by a factor of 2 to 3.\n" +
	"Rank layups by it, and stop by it; do not count on its millimetres."
