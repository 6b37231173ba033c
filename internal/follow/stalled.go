package follow

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/wording"
)

// Stalled is what is still known when nothing has come for quietS: no number
// and no advice that could pass for the present, and the caution that says so.
// Aborts that stood still stand.
func Stalled(s monitor.Snapshot, quietS float64) monitor.Snapshot {
	s.Link.Up = false
	if s.Link.AgeS += quietS; math.IsNaN(s.Link.AgeS) {
		s.Link.AgeS = math.Inf(1)
	}
	why := wording.WatchIsQuiet(quietS)
	s.Advice, s.Outlook = advise.Unknown(why)
	s.Model.Fresh = false
	for i := range s.Alarms {
		if s.Alarms[i].Name == alarm.DataStale && s.Alarms[i].Present() {
			return s
		}
	}
	own := alarm.Active{Name: alarm.DataStale, Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: s.TimeS, EndS: math.NaN(),
		Cause: why, Do: "Ask the operator."}
	at := 0
	for at < len(s.Alarms) && s.Alarms[at].Level > own.Level {
		at++
	}
	list := append([]alarm.Active(nil), s.Alarms[:at]...)
	s.Alarms = append(append(list, own), s.Alarms[at:]...)
	s.Level = max(s.Level, own.Level)
	return s
}
