package screen

import (
	"fillwright/internal/monitor"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// sensorTrouble says what is wrong with the sensors of a role; empty if one
// of them is well or if there is none.
func sensorTrouble(sensors []probe.Reading, role vessel.Role, station string) string {
	why := ""
	for i := range sensors {
		r := &sensors[i]
		if r.Role != role || station != "" && r.Station != station {
			continue
		}
		if r.Health == probe.HealthGood {
			return ""
		}
		if why == "" {
			why = healthText(r.Health)
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

func healthText(h probe.Health) string {
	if int(h) < len(healthTexts) {
		return healthTexts[h]
	}
	return h.String()
}

// underPressure says whether leaving now would leave a vessel under pressure
// unwatched. What is not known, or old, counts as under pressure.
func underPressure(s *monitor.Snapshot, stale bool) bool {
	const leastPa = 0.5e5 // 0.5 bar
	return s.Seq == 0 || stale || !(s.PressurePa <= leastPa) ||
		sensorTrouble(s.Sensors, vessel.RolePressure, "") != ""
}
