package screen

import (
	"math"
	"time"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// The situations of these tests are invented: the composite vessel "Plover"
// of the example profile at made-up moments of made-up fills. The numbers are
// plausible, not measured.

var nan = math.NaN()

func bar(x float64) float64    { return x * 1e5 }
func barMin(x float64) float64 { return x * 1e5 / 60 }
func degC(x float64) float64   { return x + 273.15 }

func plover() *vessel.Profile {
	return &vessel.Profile{
		Name:     "Plover",
		Resin:    vessel.Resin{Onset: quantity.Celsius(54), Midpoint: quantity.Celsius(61)},
		Limits:   vessel.Limits{Pressure: quantity.Bar(50), Reserve: 5, RampLeast: quantity.BarPerMinute(2), RampMost: quantity.BarPerMinute(60), Reaction: 5},
		Fill:     vessel.Fill{Target: quantity.Bar(40), Hold: 900},
		Stations: []vessel.Station{{Name: "sun", AreaFraction: 0.5}, {Name: "shade", AreaFraction: 0.5}},
	}
}

// situation is a moment and the way there.
type situation struct {
	name   string
	path   []monitor.Snapshot // at one a second; the last is the moment
	replay *fakeReplay
}

func (s *situation) last() *monitor.Snapshot { return &s.path[len(s.path)-1] }

// moment is a calm fill at session time t, t seconds after it began at 20 s.
func moment(t float64) monitor.Snapshot {
	in := math.Max(t-20, 0)
	p := math.Min(26.1/60*in, 40)
	wall := 38.2 + 8.6*(1-math.Exp(-in/60))
	s := monitor.Snapshot{
		Seq: uint64(t*20) + 1, TimeS: t, Phase: monitor.PhaseFilling, PhaseSince: 20,
		PressurePa: bar(p), TargetPa: bar(40), RampPaS: barMin(26.1),
		BeadK: degC(24 + 24*(1-math.Exp(-in/40))), GasK: degC(24.5 + 27*(1-math.Exp(-in/35))), GasBandK: 0.8, AmbientK: degC(23),
		Stations: []monitor.Station{
			{Name: "sun", OuterK: degC(wall - 1.9), InnerK: degC(wall), HottestK: degC(wall), BandK: 1.2, OutsideK: degC(41.5), SensorK: degC(wall - 2.1), SurfaceK: degC(41.8), SurfaceS: 8},
			{Name: "shade", OuterK: degC(wall - 13.1), InnerK: degC(wall - 11), HottestK: degC(wall - 11), BandK: 1.1, OutsideK: degC(26.5), SensorK: degC(wall - 13.0), SurfaceK: nan, SurfaceS: nan},
		},
		Hottest: 0, HottestK: degC(wall), BandK: 1.2, MarginK: 54 - (wall + 1.2), GasMassKg: 0.012 * (p + 1),
		Advice: advise.Advice{Verdict: advise.VerdictFill, Reason: "wall peaks at 47 ± 1 °C, limit 49 °C",
			RampPaS: barMin(31), PeakK: degC(46.9), PeakBandK: 1.2, PeakInS: 88, TargetInS: (40 - p) / 31 * 60, WaitS: nan},
		Outlook: advise.Outlook{CoastPeakK: degC(wall + 0.4), CoastPeakBandK: 1.3, CoastPeakInS: 12, ToLimitS: math.Inf(1),
			SettlePa: bar(p * 0.93), HoldLimitS: math.Inf(1), VentColdK: degC(-21)},
		Leak:    advise.Leak{RateKgS: nan, BandKgS: nan, RatePaS: nan},
		Sensors: sensors(),
		Link:    monitor.Link{Up: true, AgeS: 0.05, SampleHz: 20, Board: 7, BoardKnown: true},
		Model:   monitor.ModelNote{Name: "plover-3", Rung: "lag-density", Fills: 3, Fresh: true},
		Events: []monitor.Event{
			{TimeS: 0, Kind: monitor.EventLink, Text: "logger found"},
			{TimeS: 8, Kind: monitor.EventEntry, Text: "surface reading sun 41.8 °C"},
			{TimeS: 20, Kind: monitor.EventPhase, Text: "filling began"},
		},
	}
	s.Outlook.Path = path(wall, 46.9, 88)
	s.Outlook.Coast = path(wall, wall+0.4, 12)
	if in == 0 {
		s.Phase, s.PhaseSince, s.RampPaS = monitor.PhaseVented, 0, 0
		s.Events = s.Events[:2]
		s.Ready = readyList()
		s.Outlook.SettlePa, s.Outlook.ToLimitS = bar(37.9), nan
	}
	return s
}

// readyList is a list with two items open.
func readyList() []monitor.ReadyItem {
	yes, no, open := monitor.ReadyYes, monitor.ReadyNo, monitor.ReadyUnknown
	return []monitor.ReadyItem{
		{Name: "sensors", Title: "sensors alive and plausible", State: yes, Why: "all 6"},
		{Name: "offsets", Title: "offsets known and fresh", State: yes, Why: "at most 2 days old"},
		{Name: "zero", Title: "pressure reads zero vented", State: yes, Why: "within 0.25 bar"},
		{Name: "surface", Title: "surface readings taken", State: no, Why: "read by hand: shade"},
		{Name: "model", Title: "model fits the vessel", State: yes, Why: "learned from 3 fills"},
		{Name: "log", Title: "log writable, with space", State: yes, Why: "12.3 GB free"},
		{Name: "target", Title: "target under the vessel's limit", State: yes, Why: "40.0 bar, limit 50.0 bar"},
		{Name: "wall", Title: "wall cool enough to start", State: yes, Why: "may start at the advised ramp"},
		{Name: "people-clear", Title: "people clear", State: yes, Why: "confirmed", Hand: true},
		{Name: "relief-valve", Title: "relief valve fitted", State: yes, Why: "confirmed", Hand: true},
		{Name: "vent-line", Title: "vent line tested", State: open, Why: "test it, then confirm", Hand: true},
	}
}

// emptying is the vent at the end.
func emptying(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS, s.PressurePa = monitor.PhaseVenting, 380, barMin(-6.1), bar(31.2)
	s.GasK, s.BeadK = degC(12.4), degC(14.1)
	s.Advice = advise.Advice{Verdict: advise.VerdictHold, Reason: "Let it vent. Keep your distance. Gas falls to about -8 °C", RampPaS: 0, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan}
	s.Outlook.VentColdK, s.Outlook.ToLimitS = degC(-8.2), nan
}

// emptied is vented again, with the account of the fill.
func emptied(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS, s.PressurePa = monitor.PhaseVented, 690, 0, bar(0.02)
	s.GasK, s.BeadK, s.Outlook.SettlePa, s.Outlook.ToLimitS = degC(2.4), degC(4.1), bar(38.0), nan
	s.Advice.Verdict, s.Advice.Reason = advise.VerdictReady, "wall would peak at 45 ± 1 °C, limit 49 °C"
	s.Ready = readyList()
	for i := range s.Ready {
		if s.Ready[i].Hand {
			s.Ready[i].State = monitor.ReadyUnknown
		}
	}
	s.Summary = monitor.Summary{Begun: true, Done: true, BeginS: 20, EndS: 690, FillS: 92, HoldS: 268, PeakK: degC(46.9), PeakBandK: 1.2,
		PeakS: 112, PeakStation: "sun", MarginLeastK: 5.9, PressureMostPa: bar(40.2), RampMostPaS: barMin(27.3), GasMostK: degC(51.3),
		GasLeastK: degC(-8.4), Advisories: 1, Leak: advise.Leak{RateKgS: 0.1 / 6e4, BandKgS: 0.9 / 6e4, RatePaS: 0}}
	s.Events = append(s.Events, monitor.Event{TimeS: 690, Kind: monitor.EventPhase, Text: s.Summary.Text()})
}

// path rises to a peak and falls off again, in °C.
func path(from, peak, peakInS float64) []advise.Point {
	var out []advise.Point
	for t := 0.0; t <= 300; t += 5 {
		k := from + (peak-from)*math.Sin(math.Min(t/peakInS, 1)*math.Pi/2)
		if t > peakInS {
			k = peak - 4*(1-math.Exp(-(t-peakInS)/120))
		}
		out = append(out, advise.Point{InS: t, HottestK: degC(k), BandK: 1.2})
	}
	return out
}

func sensors() []probe.Reading {
	good := func(ch int, role vessel.Role, kind vessel.Kind, station string) probe.Reading {
		return probe.Reading{Channel: ch, Role: role, Kind: kind, Station: station, Health: probe.HealthGood}
	}
	return []probe.Reading{
		good(0, vessel.RolePressure, vessel.KindRatiometric, ""), good(1, vessel.RoleGas, vessel.KindK, ""),
		good(2, vessel.RoleWall, vessel.KindK, "sun"), good(3, vessel.RoleWall, vessel.KindK, "shade"),
		good(4, vessel.RoleColdJunction, vessel.KindCelsius, ""), good(5, vessel.RoleAmbient, vessel.KindCelsius, ""),
	}
}

// until is the calm fill up to session time t; change alters the last moment.
func until(name string, t float64, change func(s *monitor.Snapshot)) situation {
	sit := situation{name: name}
	for at := 0.0; at <= t; at++ {
		sit.path = append(sit.path, moment(at))
	}
	if change != nil {
		change(sit.last())
	}
	return sit
}

func situations() []situation {
	out := []situation{
		until("waiting", 0, func(s *monitor.Snapshot) { *s = unknownSnapshot() }),
		until("ready", 15, func(s *monitor.Snapshot) {
			s.Advice.Verdict, s.Advice.Reason = advise.VerdictReady, "wall would peak at 47 ± 1 °C, limit 49 °C"
		}),
		until("filling", 82, nil),
		until("ease", 82, easing),
		until("hold", 130, holding),
		until("top-up", 400, toppingUp),
		until("no-start", 15, notStarting),
		until("vent", 430, emptying),
		until("over", 700, emptied),
		until("abort-stop", 90, stopping),
		until("abort-vent", 95, venting),
		until("stale", 82, func(s *monitor.Snapshot) { s.Link.AgeS = 2.3; s.Alarms = staleAlarms(82) }),
		until("sensor-ill", 82, sensorIll),
		until("pressure-lost", 82, pressureLost),
	}
	replay := until("replay", 82, nil)
	replay.replay = &fakeReplay{position: Position{TimeS: 82, EndS: 421, Speed: 4}}
	return append(out, replay)
}

func easing(s *monitor.Snapshot) {
	s.RampPaS = barMin(44.6)
	s.Advice.Verdict, s.Advice.RampPaS = advise.VerdictEase, barMin(22.5)
	s.Advice.Reason = "at this ramp the wall would reach 51 °C, limit 49 °C"
	s.Outlook.ToLimitS = 41
	s.MarginK, s.Level = 2.84, alarm.LevelCaution
	s.Alarms = []alarm.Active{{Name: "wall-margin", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 79, First: true,
		Cause: "hottest 50.0 ± 1.2 °C, onset 54.0 °C", Do: "Ease off or shut the supply."}}
}

func holding(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS = monitor.PhaseHolding, 112, barMin(-0.3)
	s.Advice = advise.Advice{Verdict: advise.VerdictHold, Reason: "The target is reached. Keep the supply shut while it settles.", RampPaS: 0, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: 95}
	s.Outlook.HoldLimitS, s.Outlook.ToLimitS = 720, nan
	s.Leak = advise.Leak{RateKgS: 0, BandKgS: 0.9 / 6e4, RatePaS: 0}
	s.Alarms = []alarm.Active{{Name: "target-reached", Level: alarm.LevelAdvisory, State: alarm.StateReturned, SinceS: 112, Cause: "The target of 40.0 bar is reached", Do: "Shut the supply."}}
	s.Level = alarm.LevelAdvisory
	s.Events = append(s.Events, monitor.Event{TimeS: 112, Kind: monitor.EventPhase, Text: "holding began"})
}

func toppingUp(s *monitor.Snapshot) {
	holding(s)
	s.PressurePa = bar(37.4)
	s.Advice = advise.Advice{Verdict: advise.VerdictTopUp, Reason: "below target; wall would peak at 45 ± 1 °C", RampPaS: barMin(18), PeakK: degC(45), PeakBandK: 1.1, PeakInS: 20, TargetInS: 9, WaitS: nan}
}

func notStarting(s *monitor.Snapshot) {
	s.Advice = advise.Advice{Verdict: advise.VerdictNoStart, Reason: "The sun alone brings the wall to 50.3 °C. Shade or cool the sunny side first.", RampPaS: 0, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan}
	s.Stations[0].OuterK, s.Stations[0].InnerK, s.Stations[0].HottestK = degC(49.8), degC(49.2), degC(49.8)
	s.HottestK, s.MarginK = degC(49.8), 3.0
	s.Outlook.CoastPeakK, s.Outlook.Coast, s.Outlook.Path = degC(50.3), path(49.8, 50.3, 60), nil
	for i := range s.Ready {
		if item := &s.Ready[i]; item.Name == "wall" {
			item.State, item.Why = monitor.ReadyNo, "shade or cool it"
		}
	}
}

func stopping(s *monitor.Snapshot) {
	s.RampPaS, s.HottestK, s.MarginK = barMin(48.2), degC(51.9), 0.86
	s.Stations[0].InnerK, s.Stations[0].HottestK = degC(51.9), degC(51.9)
	s.Outlook.ToLimitS, s.Outlook.CoastPeakK, s.Outlook.Coast = 0, degC(52.6), path(51.9, 52.6, 12)
	s.Advice = advise.Advice{Verdict: advise.VerdictStop, Reason: "With 5 s to react the wall would reach 54.3 °C, above onset with its band.", RampPaS: 0, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan}
	s.Level = alarm.LevelAbort
	s.Alarms = []alarm.Active{
		{Name: "wall-abort", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 88, First: true, Cause: "With 5 s to react the wall reaches onset", Do: "Shut the supply now."},
		{Name: "wall-margin", Level: alarm.LevelCaution, State: alarm.StateAcknowledged, SinceS: 71, Cause: "hottest 51.9 ± 1.2 °C, onset 54.0 °C", Do: "Ease off or shut the supply."},
		{Name: "ramp-high", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 75, Cause: "Ramp 48.2 bar/min, advised 22.5 bar/min", Do: "Ease off."},
	}
	s.Events = append(s.Events, monitor.Event{TimeS: 88, Kind: monitor.EventAlarm, Text: "abort raised: wall-abort"})
}

func venting(s *monitor.Snapshot) {
	stopping(s)
	s.Phase, s.PhaseSince, s.RampPaS = monitor.PhaseHolding, 91, barMin(-1.1)
	s.Advice.Verdict, s.Advice.Reason = advise.VerdictVent, "Even with the supply shut the wall coasts to 54.6 °C, above onset."
	s.MarginK, s.Outlook.CoastPeakK, s.Outlook.Coast = -1.24, degC(54.6), path(51.9, 54.6, 12)
	s.Alarms = append([]alarm.Active{{Name: "vent-advised", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 93, Cause: "Stopping is not enough: the wall coasts past onset", Do: "Vent from a distance. Keep clear."}}, s.Alarms...)
}

func staleAlarms(t float64) []alarm.Active {
	return []alarm.Active{{Name: "data-stale", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: t - 1.3, Cause: "No data from the logger for 2.3 s", Do: "Hand on the supply valve: shut it if data do not come."}}
}

func sensorIll(s *monitor.Snapshot) {
	s.Sensors[3].Health = probe.HealthOpen
	s.Stations[1].SensorK = nan
	s.Model.Widened = "no sensor at shade"
	s.Level = alarm.LevelCaution
	s.Alarms = []alarm.Active{{Name: "sensor-ill", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 80, Cause: "go on by the sun sensor; channel 3, wall shade: circuit open", Do: "Keep away. Check the logger's end; the vessel only after venting."}}
}

func pressureLost(s *monitor.Snapshot) {
	s.Sensors[0].Health = probe.HealthAtRail
	s.PressurePa, s.RampPaS, s.GasMassKg = nan, nan, nan
	s.Outlook.SettlePa, s.Outlook.ToLimitS = nan, nan
	s.Advice = advise.Advice{Verdict: advise.VerdictStop, Reason: "Filling blind: no trustworthy pressure for 3 s.", RampPaS: 0, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan}
	s.Level = alarm.LevelAbort
	s.Alarms = []alarm.Active{{Name: "blind", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 81, First: true, Cause: "No trustworthy pressure for 3 s while filling", Do: "Shut the supply now."}}
}

// fakeReplay stands for the far side of the replay keys.
type fakeReplay struct {
	position Position
	steps    int
	nexts    int
}

func (f *fakeReplay) Pause(on bool)      { f.position.Paused = on }
func (f *fakeReplay) Speed(x float64)    { f.position.Speed = x }
func (f *fakeReplay) Step()              { f.steps++ }
func (f *fakeReplay) Next()              { f.nexts++ }
func (f *fakeReplay) Position() Position { return f.position }

// hostTime is the clock of these tests.
var hostTime = time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)

// modelIn brings a model into a situation, at a window size.
func modelIn(sit situation, feed Feed, opt Options, w, h int) Model {
	opt.Profile = plover()
	if sit.replay != nil {
		opt.Replay = sit.replay
	}
	m := NewModel(testContext, feed, opt)
	m.w, m.h = w, h
	at := hostTime
	for i := range sit.path {
		at = at.Add(time.Second)
		next, _ := m.Update(pulseMsg{sit.path[i], at})
		m = next.(Model)
	}
	return m
}
