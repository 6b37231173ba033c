package screen

import (
	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/leak"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/wording"
)

// leaking is a hold with a leak that was called.
func leaking(s *monitor.Snapshot) {
	noGas(s, advise.VerdictVent, wording.Losing(3.1/6e4, 0.9/6e4))
	s.Advice.RampPaS = 0
	s.Outlook.HoldLimitS = 720
	s.Leak = leak.Verdict{RateKgS: 3.1 / 6e4, BandKgS: 0.9 / 6e4, RatePaS: 60, Significant: true}
	s.Level = alarm.LevelCaution
	s.Alarms = append([]alarm.Active{{Name: "leak", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 252, First: true,
		Cause: wording.Words("losing 3.1 ± 0.9 g/min"), Do: "Keep away and vent from a distance."}}, s.Alarms...)
}

// losing is gas that leaves fast, with nobody having said that he vents.
func losing(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS, s.PressurePa = phase.Venting, 289, barMin(-8.4), bar(restBar-1.4)
	noGas(s, advise.VerdictVent, wording.LosingUnasked(barMin(8.4)))
	s.Advice.RampPaS = 0
	s.Outlook.VentColdK = degC(-8.2)
	s.Level = alarm.LevelCaution
	s.Alarms = append([]alarm.Active{{Name: "gas-loss", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 297, First: true,
		Cause: wording.LosingUnasked(barMin(8.4)), Do: "Keep away and vent from a distance."}}, s.Alarms...)
}

// abortOver is vented after an abort that nobody has accepted.
func abortOver(s *monitor.Snapshot) {
	emptied(s)
	s.Summary.Aborts, s.Summary.AbortFirst = 2, "wall-abort"
	s.Level = alarm.LevelAbort
	s.Alarms = []alarm.Active{
		{Name: "wall-abort", Level: alarm.LevelAbort, State: alarm.StateLatched, SinceS: 88, EndS: 93, First: true, Cause: wording.Words("Going on could have brought the wall to onset.")},
		{Name: "vent-advised", Level: alarm.LevelAbort, State: alarm.StateLatched, SinceS: 93, EndS: 692, Cause: wording.Words("The wall could have reached onset, supply shut or not.")},
	}
}

func staleAlarms(t float64) []alarm.Active {
	return []alarm.Active{{Name: "data-stale", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: t - 1.3, Cause: wording.NoReading(2), Do: "Supply shut until there are data."}}
}

func sensorIll(s *monitor.Snapshot) {
	s.Sensors[3].Health = probe.HealthOpen
	s.Stations[1].SensorK, s.Stations[1].BandK = nan, 2.3
	s.Level = alarm.LevelCaution
	s.Alarms = []alarm.Active{{Name: "sensor-ill", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 80, Cause: wording.Words("channel 3, wall shade: open; going by the sun sensor"), Do: "Under pressure stay away. Check its plug once vented."}}
}
