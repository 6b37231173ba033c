package practice

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
)

// want is what an alarm asks of the hand at the valve.
type want uint8

const (
	wantNothing want = iota // but to be seen
	wantShut                // the supply
	wantLess                // supply or vent less open than at the alarm
	wantVent
)

var wantWords = [...]struct{ done, already, never string }{
	{"", "", ""},
	{"supply shut after", "the supply was shut", "the supply was not shut"},
	{"turned down after", "nothing was open", "nothing was turned down"},
	{"vent opened after", "the vent was open", "the vent was not opened"},
}

// wants is what the alarms ask for that do not follow from their level.
var wants = map[string]want{
	alarm.VentAdvised: wantVent, alarm.PressureOver: wantVent, alarm.Leak: wantVent, alarm.GasLoss: wantVent,
	alarm.WallMargin: wantLess, alarm.PressureNear: wantShut, alarm.RampHigh: wantLess,
	alarm.GasCold: wantLess, alarm.TargetReached: wantShut,
}

// answer is an alarm and what was done about it. Times are the vessel's; NaN:
// it was not done.
type answer struct {
	name    string
	level   alarm.Level
	sinceS  float64 // session time, tells one alarm from the next of its name
	atS     float64
	want    want
	opening float64 // at the alarm
	already bool
	doneS   float64
	seenS   float64
}

func newAnswer(al *alarm.Active, r mimic.Row) answer {
	w, named := wants[al.Name]
	if !named && al.Level == alarm.LevelAbort {
		w = wantShut
	}
	a := answer{name: al.Name, level: al.Level, sinceS: al.SinceS, atS: r.TimeS, want: w, opening: r.Valve.Opening,
		doneS: math.NaN(), seenS: math.NaN()}
	a.already = w != wantNothing && a.met(r)
	return a
}

// is says whether al is the alarm that was answered.
func (a *answer) is(al *alarm.Active) bool { return a.name == al.Name && a.sinceS == al.SinceS }

// met says whether the valves stand as the alarm wants them.
func (a *answer) met(r mimic.Row) bool {
	venting := r.Valve.Action == mimic.Vent || r.Valve.Action == mimic.Open
	switch a.want {
	case wantShut:
		return r.Valve.Action != mimic.Fill
	case wantLess:
		return r.Valve.Action == mimic.Shut || r.Valve.Opening < a.opening
	case wantVent:
		return venting
	}
	return false
}

// look notes what has been done by now; seen says that what stands was accepted.
func (a *answer) look(r mimic.Row, seen string) {
	if math.IsNaN(a.doneS) && a.met(r) {
		a.doneS = r.TimeS
	}
	if math.IsNaN(a.seenS) && (seen == monitor.AllAlarms || seen == a.name) {
		a.seenS = r.TimeS
	}
}

// seenIn is what the newest events say was accepted: the name of an alarm,
// monitor.AllAlarms, or nothing.
func seenIn(s *monitor.Snapshot, before uint64) string {
	for _, e := range s.EventsSince(before) {
		if e.Accepted != "" {
			return e.Accepted
		}
	}
	return ""
}
