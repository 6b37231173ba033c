package screen

import (
	"math"
	"slices"
	"testing"
	"time"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/leak"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
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
		Limits:   vessel.Limits{Pressure: 50e5, Reserve: 5, RampLeast: quantity.BarPerMinute(2), RampMost: quantity.BarPerMinute(60), Reaction: 5},
		Fill:     vessel.Fill{Target: 40e5, Hold: 900},
		Stations: []vessel.Station{{Name: "sun"}, {Name: "shade", OffSunDeg: 180}},
	}
}

// situation is a moment and the way there, which is made only when it is walked.
type situation struct {
	name   string
	atS    float64
	change func(s *monitor.Snapshot) // of the last moment, may be nil
	each   func(s *monitor.Snapshot) // of every moment, may be nil
	replay *fakeReplay
}

// at is the way at a session time.
func (sit *situation) at(t float64) monitor.Snapshot {
	s := moment(t)
	if t == sit.atS && sit.change != nil {
		sit.change(&s)
	}
	if sit.each != nil {
		sit.each(&s)
	}
	return s
}

func (sit *situation) last() *monitor.Snapshot {
	s := sit.at(sit.atS)
	return &s
}

const (
	sunStartC = 38.2 // the sunny inner wall before the fill
	fillS     = 92.0 // to 40 bar at 26.1 bar/min
	restBar   = 37.2 // settled
)

// calm is gauge pressure, ramp, gas and hottest wall of a calm fill, in bar,
// bar/min and °C, a time after it began.
func calm(inS float64) (p, ramp, gasC, wallC float64) {
	in := math.Min(inS, fillS)
	p, ramp = 26.1/60*in, 26.1
	gasC, wallC = 24.5+27*(1-math.Exp(-in/35)), sunStartC+8.6*(1-math.Exp(-in/60))
	if after := inS - fillS; after > 0 {
		fall := math.Exp(-after / 60)
		p, ramp = restBar+(p-restBar)*fall, -(p-restBar)*fall
		gasC, wallC = 38+(gasC-38)*math.Exp(-after/50), sunStartC+(wallC-sunStartC)*math.Exp(-after/400)
	}
	return p, ramp, gasC, wallC
}

// wallAt sets the walls by the hottest place of the sunny one, and what
// follows from it.
func wallAt(s *monitor.Snapshot, sunC, coastC float64) {
	station := func(st *monitor.Station, c float64) {
		st.InnerK, st.HottestK, st.OuterK, st.SensorK = degC(c), degC(c), degC(c-1.9), degC(c-2.1)
	}
	s.Stations = []monitor.Station{
		{Name: "sun", BandK: 1.2, OutsideK: degC(41.5), SurfaceK: degC(38.3), SurfaceS: 8},
		{Name: "shade", BandK: 1.1, OutsideK: degC(26.5), SurfaceK: nan, SurfaceS: nan},
	}
	station(&s.Stations[0], sunC)
	station(&s.Stations[1], sunC-11)
	s.Hottest, s.HottestK, s.BandK, s.MarginK = 0, degC(sunC), 1.2, 54-(sunC+1.2)
	s.Outlook.CoastPeakK, s.Outlook.CoastPeakBandK, s.Outlook.CoastPeakInS = degC(coastC), 1.3, 12
	s.Outlook.Coast = path(sunC, coastC, 12)
}

// advised sets advice to fill at a ramp in bar/min to a peak in °C.
func advised(s *monitor.Snapshot, v advise.Verdict, ramp, peakC float64, reason wording.Text) {
	targetS := math.Max(40-s.PressurePa/1e5, 0) / ramp * 60
	s.Advice = advise.Advice{Verdict: v, Reason: reason, RampPaS: barMin(ramp), PeakK: degC(peakC), PeakBandK: 1.2,
		PeakInS: targetS + 5, TargetInS: targetS, WaitS: nan}
	s.Outlook.Path = path(s.HottestK-273.15, peakC, targetS+5)
	s.Outlook.SettlePa = bar(restBar + 0.9)
}

// slowingLater is a fill on the first leg of a course.
func slowingLater(s *monitor.Snapshot) {
	s.Advice.Then = advise.Change{RampPaS: barMin(12.5), FromPa: bar(22)}
	s.Advice.TargetInS = (22-s.PressurePa/1e5)/31*60 + (40-22)/12.5*60
}

// noGas sets advice that puts no gas in.
func noGas(s *monitor.Snapshot, v advise.Verdict, reason wording.Text) {
	s.Advice = advise.Advice{Verdict: v, Reason: reason, PeakK: nan, PeakBandK: nan, PeakInS: nan, TargetInS: nan, WaitS: nan}
	s.Outlook.Path, s.Outlook.ToLimitS, s.Outlook.SettlePa = nil, nan, 0.9*s.PressurePa
}

// moment is a calm fill at session time t, which began at 20 s.
func moment(t float64) monitor.Snapshot {
	in := math.Max(t-20, 0)
	p, ramp, gasC, wallC := calm(in)
	s := monitor.Snapshot{
		Seq: uint64(t*20) + 1, TimeS: t, Phase: phase.Filling, PhaseSince: 20,
		PressurePa: bar(p), TargetPa: bar(40), RampPaS: barMin(ramp),
		BeadK: degC(gasC - 1.5), GasK: degC(gasC), GasBandK: 0.8, AmbientK: degC(23), GasMassKg: 0.012 * (p + 1),
		Outlook: advise.Outlook{ToLimitS: math.Inf(1), HoldLimitS: math.Inf(1), VentColdK: degC(-21)},
		Leak:    leak.Unknown(),
		Sensors: sensors(),
		Link:    monitor.Link{Up: true, AgeS: 0.05, SampleHz: 20, Board: 7, BoardKnown: true},
		Model:   monitor.ModelNote{Name: "plover-3", Variant: "lag-density", Fills: 3, Fresh: true},
		Events: []monitor.Event{
			{TimeS: 0, Kind: monitor.EventLink, Text: wording.Words("logger found")},
			{TimeS: 8, Kind: monitor.EventEntry, Text: wording.SurfaceRead("sun", degC(38.3))},
			{TimeS: 20, Kind: monitor.EventPhase, Text: wording.Words("filling began")},
		},
	}
	wallAt(&s, wallC, wallC+0.4)
	for i := range s.Stations { // before the fill the sun comes from outside
		if st := &s.Stations[i]; in == 0 {
			st.OuterK, st.InnerK, st.SensorK = st.HottestK, st.HottestK-0.3, st.HottestK-0.1
		}
	}
	switch {
	case in == 0:
		s.Phase, s.PhaseSince, s.RampPaS = phase.Vented, 0, 0
		s.Events = s.Events[:2]
		s.Ready = readyList()
		advised(&s, advise.VerdictReady, 31, 46.9, wording.WallWouldPeak(degC(47), 1, degC(49)))
		s.Outlook.ToLimitS = nan
	case in <= fillS:
		advised(&s, advise.VerdictFill, 31, 46.9, wording.WallWouldPeak(degC(47), 1, degC(49)))
	default:
		holding(&s)
	}
	return s
}

// readyList is a list with two items open.
func readyList() []checklist.Item {
	yes, no, open := checklist.Yes, checklist.No, checklist.Unknown
	return []checklist.Item{
		{Name: "sensors", Title: "sensors alive and plausible", State: yes, Why: wording.Words("all 6")},
		{Name: "offsets", Title: "offsets known and fresh", State: yes, Why: wording.Words("at most 2 days old")},
		{Name: "zero", Title: "pressure reads zero vented", State: yes, Why: wording.Within(bar(0.25))},
		{Name: "surface", Title: "wall read at each station", State: no, Why: wording.Words("read by hand: shade")},
		{Name: "model", Title: "model fits the vessel", State: yes, Why: wording.Words("learned from 3 fills")},
		{Name: "log", Title: "log writable, with space", State: yes, Why: wording.Words("12.3 GB free")},
		{Name: "target", Title: "target under the vessel's limit", State: yes, Why: wording.TargetAndLimit(bar(40), bar(50))},
		{Name: "wall", Title: "wall cool enough to start", State: yes, Why: wording.Words("cool enough at the advised ramp")},
		{Name: "people-clear", Title: "people clear", State: yes, Why: wording.Words("confirmed"), Hand: true},
		{Name: "relief-valve", Title: "relief valve fitted", State: yes, Why: wording.Words("confirmed"), Hand: true},
		{Name: "vent-line", Title: "vent line tested", State: open, Why: wording.Words("test it, then confirm"), Hand: true},
	}
}

// emptying is the vent at the end.
func emptying(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS, s.PressurePa = phase.Venting, 380, barMin(-6.1), bar(restBar-6.1*50/60)
	s.GasK, s.BeadK = degC(12.4), degC(14.1)
	noGas(s, advise.VerdictHold, wording.LetItVent(degC(-8)))
	s.Outlook.VentColdK = degC(-8.2)
}

// emptied is vented again, with the account of the fill.
func emptied(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince, s.RampPaS, s.PressurePa = phase.Vented, 690, 0, bar(0.02)
	s.GasK, s.BeadK = degC(2.4), degC(4.1)
	advised(s, advise.VerdictReady, 31, 47.6, wording.WallWouldPeak(degC(48), 1, degC(49)))
	s.Outlook.ToLimitS = nan
	s.Ready = readyList()
	for i := range s.Ready {
		if s.Ready[i].Hand {
			s.Ready[i].State = checklist.Unknown
		}
	}
	s.Summary = monitor.Summary{Begun: true, Done: true, BeginS: 20, EndS: 690, FillS: fillS, HoldS: 268, PeakK: degC(44.9), PeakBandK: 1.2,
		PeakS: 112, PeakStation: "sun", MarginLeastK: 7.8, PressureMostPa: bar(40.0), RampMostPaS: barMin(27.3), GasMostK: degC(49.6),
		GasLeastK: degC(-8.4), Advisories: 1, Leak: leak.Verdict{RateKgS: 0.1 / 6e4, BandKgS: 0.9 / 6e4, RatePaS: 0}}
	s.Events = append(s.Events, monitor.Event{TimeS: 690, Kind: monitor.EventPhase, Text: s.Summary.Text()})
}

// path rises to a peak and falls off again, in °C.
func path(from, peak, peakInS float64) []advise.Point {
	out := make([]advise.Point, 0, 61)
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

// until is the calm fill up to session time t, in whole seconds; change alters
// the last moment.
func until(name string, t float64, change func(s *monitor.Snapshot)) situation {
	return situation{name: name, atS: t, change: change}
}

// throughout alters every moment on the way too.
func throughout(sit situation, change func(s *monitor.Snapshot)) situation {
	sit.each = change
	return sit
}

func situations() []situation {
	out := []situation{
		until("waiting", 0, func(s *monitor.Snapshot) { *s = monitor.Unknown() }),
		until("ready", 15, nil),
		until("filling", 82, nil),
		until("course", 50, slowingLater),
		throughout(until("ease", 82, nil), easing),
		until("hold", 130, nil),
		until("top-up", 400, toppingUp),
		throughout(until("no-start", 15, nil), notStarting),
		until("vent", 430, emptying),
		until("over", 700, emptied),
		throughout(until("abort-stop", 90, nil), stopping),
		throughout(until("abort-vent", 95, nil), venting),
		until("stale", 82, func(s *monitor.Snapshot) { s.Link.AgeS = 2.3; s.Alarms = staleAlarms(82) }),
		until("sensor-ill", 82, sensorIll),
		until("leak-called", 300, leaking),
		until("gas-loss", 300, losing),
		until("abort-over", 700, abortOver),
		until("pressure-lost", 82, pressureLost),
	}
	replay := until("replay", 82, nil)
	replay.replay = &fakeReplay{position: session.Position{TimeS: 82, EndS: 421, Speed: 4}}
	return append(out, replay)
}

// hasty makes the fill hasty from session time 70 s on: at a ramp in bar/min,
// the wall rising by wallKS a second more.
func hasty(s *monitor.Snapshot, ramp, wallKS float64) (wallC float64) {
	more := s.TimeS - 70
	if s.Phase != phase.Filling || more <= 0 {
		return math.NaN()
	}
	s.PressurePa += bar((ramp - 26.1) / 60 * more)
	s.RampPaS = barMin(ramp)
	s.GasK, s.BeadK = s.GasK+1.2*more, s.BeadK+0.9*more
	wallC = s.HottestK - 273.15 + wallKS*more
	wallAt(s, wallC, wallC+0.9)
	return wallC
}

func easing(s *monitor.Snapshot) {
	wallC := hasty(s, 44.6, 0.2)
	if math.IsNaN(wallC) {
		return
	}
	advised(s, advise.VerdictEase, 22.5, 48.4, wording.TooFast(barMin(44.6), degC(51), degC(49)))
	s.Outlook.ToLimitS = 9
	s.Level = alarm.LevelCaution
	s.Alarms = []alarm.Active{{Name: "ramp-high", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 79, First: true,
		Cause: wording.RampNow(barMin(44.6), barMin(22.5)), Do: "Ease off."}}
}

func holding(s *monitor.Snapshot) {
	s.Phase, s.PhaseSince = phase.Holding, 20+fillS
	noGas(s, advise.VerdictHold, wording.MayStayFull(720))
	s.Outlook.HoldLimitS, s.Outlook.SettlePa = 720, bar(restBar)
	s.Leak = leak.Verdict{RateKgS: 0, BandKgS: 0.9 / 6e4, RatePaS: 0}
	s.Alarms = []alarm.Active{{Name: "target-reached", Level: alarm.LevelAdvisory, State: alarm.StateReturned, SinceS: 112, EndS: 115, Cause: wording.Words("The target pressure was reached.")}}
	s.Level = alarm.LevelAdvisory
	s.Events = append(s.Events, monitor.Event{TimeS: 112, Kind: monitor.EventPhase, Text: wording.Words("holding began")})
}

func toppingUp(s *monitor.Snapshot) {
	advised(s, advise.VerdictTopUp, 18, 44.6, wording.TopUpWouldPeak(degC(45), 1, degC(49)))
	s.Outlook.SettlePa = bar(restBar)
}

func notStarting(s *monitor.Snapshot) {
	wallAt(s, 49.2, 50.3)
	sun := &s.Stations[0]
	sun.OuterK, sun.HottestK, sun.SensorK, sun.SurfaceK, sun.OutsideK = degC(49.8), degC(49.8), degC(49.7), degC(49.6), degC(58.3)
	shade := &s.Stations[1]
	shade.OuterK, shade.InnerK, shade.SensorK = shade.HottestK, shade.HottestK-0.3, shade.HottestK-0.1
	s.HottestK, s.MarginK = degC(49.8), 3.0
	noGas(s, advise.VerdictNoStart, wording.SunAlone(degC(52), degC(49), wording.ShadeOrCool))
	s.Outlook.SettlePa = bar(0)
	s.Events[1].Text = wording.SurfaceRead("sun", degC(49.6))
	for i := range s.Ready {
		if item := &s.Ready[i]; item.Name == "wall" {
			item.State, item.Why = checklist.No, wording.Words("shade or cool it")
		}
	}
}

func stopping(s *monitor.Snapshot) {
	wallC := hasty(s, 48.2, 0.37)
	if math.IsNaN(wallC) {
		return
	}
	advised(s, advise.VerdictEase, 12, 48.9, wording.TooFast(barMin(48.2), degC(56), degC(49)))
	if s.TimeS < 88 {
		return
	}
	noGas(s, advise.VerdictStop, wording.TooLate(wording.Text{}))
	s.Advice.RampPaS = 0
	s.Outlook.ToLimitS = 0
	s.Level = alarm.LevelAbort
	s.Alarms = []alarm.Active{
		{Name: "wall-abort", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 88, First: true, Cause: wording.Words("stopping later may take the wall to the onset"), Do: "Shut the supply now."},
	}
	s.Events = append(s.Events, monitor.Event{TimeS: 88, Kind: monitor.EventAlarm, Text: wording.Words("abort wall-abort: stopping later may take the wall to the onset")})
}

func venting(s *monitor.Snapshot) {
	stopping(s)
	if s.TimeS < 91 {
		return
	}
	wallAt(s, 52.2, 53.9)
	s.PressurePa, s.RampPaS = bar(38.2-0.9*(s.TimeS-91)/60), barMin(-0.9)
	s.Phase, s.PhaseSince = phase.Holding, 91
	noGas(s, advise.VerdictVent, wording.MayReachShut(degC(55.2), degC(54)))
	s.Advice.RampPaS = 0
	s.Outlook.SettlePa = bar(33.1)
	if s.TimeS >= 93 {
		a := &s.Alarms[0]
		a.State, a.EndS, a.Cause, a.Do = alarm.StateLatched, 93, wording.Words("Going on could have brought the wall to onset."), ""
	}
	s.Alarms = append([]alarm.Active{{Name: "vent-advised", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 93, Cause: wording.MayReachShut(degC(55.2), degC(54)), Do: "Vent from a distance."}}, s.Alarms...)
}

// pressureLost is what monitor gives 3 s after the pressure was lost.
func pressureLost(s *monitor.Snapshot) {
	sensors, stations, now := s.Sensors, s.Stations, *s
	*s = monitor.Unknown()
	s.Seq, s.TimeS, s.Phase, s.PhaseSince, s.TargetPa = now.Seq, now.TimeS, now.Phase, now.PhaseSince, now.TargetPa
	s.BeadK, s.AmbientK, s.Link, s.Model, s.Events = now.BeadK, now.AmbientK, now.Link, now.Model, now.Events
	s.Sensors, s.Stations = sensors, stations
	s.Sensors[0].Health = probe.HealthAtRail
	for i := range s.Stations {
		st := &s.Stations[i]
		st.InnerK, st.OuterK, st.HottestK, st.BandK, st.OutsideK = nan, nan, nan, nan, nan
	}
	noGas(s, advise.VerdictStop, wording.FillingWithout(wording.ThePressure))
	s.Level = alarm.LevelAbort
	s.Alarms = []alarm.Active{
		{Name: "blind", Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: 81, Cause: wording.Words("filling without trustworthy pressure"), Do: "Shut the supply now and keep away."},
		{Name: "sensor-ill", Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: 79.5, First: true, Cause: wording.Words("channel 0, pressure: stuck at a rail"), Do: "Under pressure stay away. Check its plug once vented."},
	}
}

// fakeReplay stands for the far side of the replay keys.
type fakeReplay struct {
	position session.Position
	steps    int
	nexts    int
}

func (f *fakeReplay) Pause(on bool)              { f.position.Paused = on }
func (f *fakeReplay) Speed(x float64)            { f.position.Speed = x }
func (f *fakeReplay) Step()                      { f.steps++ }
func (f *fakeReplay) Next()                      { f.nexts++ }
func (f *fakeReplay) Position() session.Position { return f.position }

// hostTime is the clock of these tests.
var hostTime = time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)

// situationNamed finds a situation.
func situationNamed(t testing.TB, name string) situation {
	t.Helper()
	all := situations()
	i := slices.IndexFunc(all, func(s situation) bool { return s.name == name })
	must.Need(t, i >= 0, "no situation %q", name)
	return all[i]
}

// modelIn brings a model into a situation, at a window size.
func modelIn(sit situation, feed Feed, opt Options, w, h int) Model {
	opt.Profile = plover()
	if sit.replay != nil {
		opt.Replay = sit.replay
	}
	m := NewModel(testContext, feed, opt)
	m.w, m.h = w, h
	at := hostTime
	for t := 0.0; t <= sit.atS; t++ {
		at = at.Add(time.Second)
		next, _ := m.Update(pulseMsg{sit.at(t), at})
		m = next.(Model)
	}
	return m
}
