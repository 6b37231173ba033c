package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/wire"
)

// filling is a stand in the middle of a fill.
func filling(tb testing.TB, onsetC float64) *stand {
	s := vented(tb, onsetC)
	s.run(25, 24*barPerMin)
	must.Need(tb, s.last.Phase == phase.Filling && !present(&s.last, alarm.Blind), "no fill to start from: %s, %+v", s.last.Phase, s.last.Alarms)
	return s
}

// blindAfter is how long after the last good reading blind is raised; NaN
// when it is not within 10 s.
func blindAfter(s *stand) float64 {
	from := s.last.TimeS
	for range 100 {
		s.sampleOf()
		s.pad(24 * barPerMin)
		if present(&s.last, alarm.Blind) {
			return s.last.TimeS - from
		}
	}
	return math.NaN()
}

// A fill without pressure or without gas temperature is blind 3 s after the
// last good reading (design: filling blind), not before 2.5 s and within one
// sample of 3 s.
func TestBlind(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		at   int
		what string
	}{{atPressure, "pressure"}, {atGas, "gas temperature"}} {
		s := filling(t, onsetFarC)
		s.dead[c.at] = true
		got := blindAfter(s)
		must.Be(t, got > 2.5 && got <= 3+0.11, "no %s: blind after %.2f s", c.what, got)
		a := find(&s.last, alarm.Blind)
		must.Be(t, a != nil && a.Level == alarm.LevelAbort && strings.Contains(a.Cause.String(), c.what), "no %s: %+v", c.what, a)
		must.Be(t, s.last.Advice.Verdict == advise.VerdictStop && s.last.Level == alarm.LevelAbort,
			"no %s: verdict %s, level %s", c.what, s.last.Advice.Verdict, s.last.Level)
	}
}

// The ambient and a wall sensor are not needed to see.
func TestNotBlindWithoutTheRest(t *testing.T) {
	t.Parallel()
	s := filling(t, onsetFarC)
	s.dead[atAmbient] = true
	got := blindAfter(s)
	must.Be(t, math.IsNaN(got), "without ambient: blind after %.2f s", got)
}

// Silence during a fill is stale after 1 s and blind 3 s after the last good
// sample.
func TestSilenceWhileFilling(t *testing.T) {
	t.Parallel()
	s := filling(t, onsetFarC)
	for age := uint32(250); age <= 4000; age += wire.SilenceEveryMS {
		got := s.step(wire.AppendSilence(nil, 0, wire.Silence{AgeMS: age}))
		must.Equal(t, present(&got, alarm.DataStale), (age > 1000), "%d ms of silence: stale", age)
		must.Equal(t, present(&got, alarm.Blind), (age >= 3000), "%d ms of silence: blind", age)
	}
	if a := find(&s.last, alarm.SensorIll); a != nil {
		t.Errorf("a dead cable is told as an ill sensor: %+v", a)
	}
	must.Be(t, s.last.Advice.Verdict == advise.VerdictStop, "blind: verdict %s", s.last.Advice.Verdict)
	// It stays until accepted, and its condition goes when data are back.
	s.ms += 4000
	s.run(5, 24*barPerMin)
	if a := find(&s.last, alarm.Blind); a == nil || a.State != alarm.StateLatched {
		t.Errorf("data are back: %+v", a)
	}
	s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
	if a := find(&s.last, alarm.Blind); a != nil {
		t.Errorf("accepted: %+v", a)
	}
}

// On a hold and vented nobody fills blind; the data are old all the same, no
// number of theirs is shown as new, and the verdict is not known.
func TestSilenceElse(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]*stand{"hold": held(t, onsetFarC, 30), "vented": vented(t, onsetFarC)} {
		got := s.silence(250, 20_000)
		must.Be(t, !present(&got, alarm.Blind), "%s: blind", name)
		if !present(&got, alarm.DataStale) || got.Advice.Verdict != advise.VerdictUnknown || !(got.Advice.RampPaS == 0 || math.IsNaN(got.Advice.RampPaS)) {
			t.Errorf("%s: stale %v, verdict %d, ramp %v", name, present(&got, alarm.DataStale), got.Advice.Verdict, got.Advice.RampPaS)
		}
		must.Be(t, math.IsNaN(got.PressurePa) && math.IsNaN(got.BeadK) && math.IsNaN(got.AmbientK),
			"%s: readings of 20 s ago shown as new: %v %v %v", name, got.PressurePa, got.BeadK, got.AmbientK)
		must.Be(t, got.Link.AgeS == 20 && strings.Contains(got.Advice.Reason.String(), "20 s old"),
			"%s: age %v, reason %q", name, got.Link.AgeS, got.Advice.Reason)
	}
}

// Before the first reading nothing is known, and no silence makes an alarm.
func TestNothingYet(t *testing.T) {
	t.Parallel()
	s := newStand(t, onsetFarC)
	for _, got := range []Snapshot{s.silence(250, 5000), s.hello(), s.silence(250, 500)} {
		must.Be(t, got.Advice.Verdict == advise.VerdictUnknown && len(got.Alarms) <= 0 && got.Hottest == -1 && got.Phase == phase.Unknown,
			"before a reading: verdict %d, alarms %+v, hottest %d, phase %s", got.Advice.Verdict, got.Alarms, got.Hottest, got.Phase)
		for _, v := range []float64{got.PressurePa, got.GasK, got.HottestK, got.BandK, got.MarginK, got.GasMassKg, got.Advice.RampPaS, got.Leak.RateKgS} {
			must.Be(t, math.IsNaN(v) || v == 0, "before a reading a number is known: %+v", got)
		}
	}
}

// Pressure over the vessel's limit is an abort at the very sample, from any
// phase and within any block.
func TestPressureOver(t *testing.T) {
	t.Parallel()
	fill := filling(t, onsetFarC)
	fill.fill(1*testBar, 49*testBar) // a jump to there leaves the wall unknown
	for name, s := range map[string]*stand{"fill": fill, "hold": held(t, onsetFarC, 30), "vented": vented(t, onsetFarC)} {
		s.absPa = float64(s.profile.AmbientPressure) + 49.9*testBar
		if got := s.sampleOf(); present(&got, alarm.PressureOver) {
			t.Errorf("%s: abort under the limit", name)
		}
		s.ms += s.periodMS
		s.absPa += 0.11 * testBar
		got := s.sampleOf()
		want := advise.VerdictVent // whoever does not fill has nothing to shut
		if got.Phase == phase.Filling {
			want = advise.VerdictStop
		}
		must.Be(t, present(&got, alarm.PressureOver) && got.Advice.Verdict == want && got.Advice.RampPaS == 0,
			"%s: 50.01 bar of 50: %+v, verdict %s", name, got.Alarms, got.Advice.Verdict)
		if name == "vented" {
			continue // gas that jumps to 50 bar heats the wall as well, and that is said first
		}
		if a := find(&got, alarm.PressureOver); a == nil || !strings.Contains(a.Cause.String(), "50.0 bar") || got.Advice.Reason != a.Cause {
			t.Errorf("%s: cause %+v, reason %q", name, a, got.Advice.Reason)
		}
	}
}

// An ill sensor is told with its channel and what it is, once it has been ill
// for a moment.
func TestSensorIll(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, onsetFarC, skinChannels))
	s.hello()
	s.run(10, 0)
	if a := find(&s.last, alarm.SensorIll); a != nil {
		t.Fatalf("all well: %+v", a)
	}
	s.dead[atShade] = true
	s.run(1, 0)
	if a := find(&s.last, alarm.SensorIll); a != nil {
		t.Errorf("ill for 1 s: %+v", a)
	}
	s.run(1, 0)
	a := find(&s.last, alarm.SensorIll)
	if a == nil || !strings.Contains(a.Cause.String(), "channel 4") || !strings.Contains(a.Cause.String(), "shade") || !strings.Contains(a.Cause.String(), probe.HealthOpen.String()) {
		t.Errorf("ill for 2 s: %+v", a)
	}
	must.Be(t, math.IsNaN(s.last.Stations[1].SensorK) && !math.IsNaN(s.last.Stations[0].SensorK) && !math.IsNaN(s.last.HottestK),
		"a dead skin sensor: %+v, hottest %v", s.last.Stations, s.last.HottestK)
}

// A fault frame of the logger counts against its channel.
func TestFaultFrame(t *testing.T) {
	t.Parallel()
	s := filling(t, onsetFarC)
	for range 40 {
		s.step(wire.AppendFault(nil, 0, wire.Fault{Code: wire.FaultShort, Channel: 1}))
		s.run(0.1, 24*barPerMin)
	}
	must.Be(t, present(&s.last, alarm.Blind) && present(&s.last, alarm.SensorIll), "4 s of a shorted gas probe: %+v", s.last.Alarms)
}

// An abort of the wall overrules the advice, and when stopping is not enough
// the verdict is to vent.
func TestAbortOverrules(t *testing.T) {
	t.Parallel()
	for _, onsetC := range []float64{43, 44} {
		s := vented(t, onsetC)
		s.readWalls()
		stops, vents := 0, 0
		s.see = func(got Snapshot) {
			vent := present(&got, alarm.VentAdvised)
			abort := false
			for _, a := range got.Alarms {
				abort = abort || a.Level == alarm.LevelAbort && (a.State == alarm.StateUnacknowledged || a.State == alarm.StateAcknowledged)
			}
			v := got.Advice.Verdict
			switch {
			case vent && v != advise.VerdictVent, abort && !vent && v != advise.VerdictStop, abort && got.Advice.RampPaS != 0:
				t.Fatalf("onset %g °C, %.1f s: alarms %+v, verdict %s at %v", onsetC, got.TimeS, got.Alarms, v, got.Advice.RampPaS)
			case !abort && (v == advise.VerdictStop || v == advise.VerdictVent):
				t.Fatalf("onset %g °C, %.1f s: verdict %s without an abort", onsetC, got.TimeS, v)
			}
			if vent {
				vents++
			} else if abort {
				stops++
			}
		}
		s.fill(55*barPerMin, 40*testBar)
		s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		s.run(20, 0)
		must.Be(t, stops != 0 && vents != 0, "onset %g °C: %d Snapshots say stop, %d vent", onsetC, stops, vents)
	}
}

// Each raising of an alarm stands once among the events, however long it
// stands and however its words change.
func TestAlarmsNotedOnce(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 5)
	const near = 48.5 * testBar
	raise := func() {
		s.absPa = float64(s.profile.AmbientPressure) + near
		for range 60 {
			s.absPa += 500
			s.sampleOf()
			s.ms += s.periodMS
		}
	}
	count := func() int {
		n := 0
		for _, text := range eventsOf(&s.last, EventAlarm) {
			if strings.Contains(text, alarm.PressureNear) {
				n++
			}
		}
		return n
	}
	raise()
	if count() != 1 {
		t.Errorf("raised once: noted %d times: %q", count(), eventsOf(&s.last, EventAlarm))
	}
	s.absPa = float64(s.profile.AmbientPressure) + 40*testBar
	for range 60 {
		s.sampleOf()
		s.ms += s.periodMS
	}
	raise()
	if count() != 2 {
		t.Errorf("raised twice: noted %d times: %q", count(), eventsOf(&s.last, EventAlarm))
	}
}

// Events are bounded and counted.
func TestEventsBounded(t *testing.T) {
	t.Parallel()
	s := newStand(t, onsetFarC)
	for i := range 3 * EventsMost {
		got := s.entry(wire.Entry{Kind: wire.EntryMark, Text: strings.Repeat("x", i%7)})
		must.Need(t, len(got.Events) <= EventsMost && got.EventCount == uint64(i+1),
			"%d marks: %d events, count %d", i+1, len(got.Events), got.EventCount)
	}
	if got := s.last.Events[EventsMost-1].Text; got.String() != "mark: "+strings.Repeat("x", (3*EventsMost-1)%7) {
		t.Errorf("newest event: %q", got)
	}
}

// A log that can't be written is an alarm, and its recovery ends it.
func TestLogLost(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkLogLost, Text: "disk full"}))
	must.Be(t, s.last.Link.LogFailed && present(&s.last, alarm.LogLost), "log lost: %+v", s.last.Alarms)
	s.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkLogBack, Text: "disk works"}))
	s.run(2, 0)
	must.Be(t, !s.last.Link.LogFailed && !present(&s.last, alarm.LogLost), "log back: %+v", s.last.Alarms)
}
