package headline

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// Clock is a span of time: "1:15", "never" for +Inf, "--" for what is not known.
func Clock(s float64) string {
	if math.IsInf(s, 1) {
		return "never"
	}
	return quantity.Clock(s)
}

// AgeText prints an age: tenths up to a minute.
func AgeText(s float64) string {
	if math.IsNaN(s) || s < 60 {
		return Tenths(s) + " s"
	}
	return Clock(s)
}

// Tenths prints a number with one decimal.
func Tenths(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Unknown
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
}

// Margin prints the margin rounded down: what is left is never shown as more
// than it is.
func Margin(u quantity.System, k float64) string {
	// A hair above a tenth is that tenth, not the one below it.
	return Tenths(math.Floor(u.DifferenceValue(k)*10+1e-9) / 10)
}

// SensorTrouble says what is wrong with the sensors of a role; empty if one
// of them is well or if there is none.
func SensorTrouble(sensors []probe.Reading, role vessel.Role) string {
	why := ""
	for i := range sensors {
		r := &sensors[i]
		if r.Role != role {
			continue
		}
		if r.Health == probe.HealthGood {
			return ""
		}
		if why == "" {
			why = HealthText(r.Health)
		}
	}
	return why
}

var healthTexts = [...]string{
	probe.HealthUnknown: "no reading yet", probe.HealthGood: "good", probe.HealthOpen: "circuit open",
	probe.HealthOutOfRange: "out of range", probe.HealthStale: "no new value",
	probe.HealthAtRail: "at scale end", probe.HealthFrozen: "value frozen",
	probe.HealthJump: "jumped", probe.HealthNoColdJunction: "no cold junction",
}

// HealthText is a sensor's health in the fewest words.
func HealthText(h probe.Health) string {
	if int(h) < len(healthTexts) {
		return healthTexts[h]
	}
	return h.String()
}

// SensorName is how people call it: "wall sun", "cold junction".
func SensorName(r *probe.Reading) string {
	name := strings.ReplaceAll(string(r.Role), "_", " ")
	if r.Station != "" {
		name += " " + r.Station
	}
	return name
}

// Inferred marks a gas temperature that no probe reads.
func Inferred(s *monitor.Snapshot) string {
	good := func(r probe.Reading) bool { return r.Role == vessel.RoleGas && r.Health == probe.HealthGood }
	if math.IsNaN(s.GasK) || slices.ContainsFunc(s.Sensors, good) {
		return ""
	}
	return "inferred"
}

var stateWords = [...]string{
	alarm.StateNormal: "", alarm.StateUnacknowledged: "new", alarm.StateAcknowledged: "seen",
	alarm.StateReturned: "past", alarm.StateLatched: "past",
}

// StateWord is the state of an alarm in a word.
func StateWord(a *alarm.Active) string {
	if int(a.State) < len(stateWords) {
		return stateWords[a.State]
	}
	return ""
}

// Past says whether an alarm is over; a reminder is not, while it stands.
func Past(a *alarm.Active) bool { return !a.Present() && a.Name != alarm.Reminder }

// WhenText is when an alarm that is over began and ended.
func WhenText(a *alarm.Active) string {
	return Clock(math.Max(a.SinceS, 0)) + " to " + Clock(math.Max(a.EndS, 0))
}

// Stands says whether an alarm stands as it is in a Snapshot: by name, level
// and state.
func Stands(s *monitor.Snapshot, a *alarm.Active) bool {
	return slices.ContainsFunc(s.Alarms, func(b alarm.Active) bool {
		return b.Name == a.Name && b.Level == a.Level && b.State == a.State
	})
}
