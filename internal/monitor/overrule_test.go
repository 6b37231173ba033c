package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/phase"
)

// A vessel that loses gas is not topped up, however cool its wall.
func TestNoTopUpOfALeak(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 30)
	if s.run(10, 0); s.last.Advice.Verdict != advise.VerdictTopUp {
		t.Fatalf("20 bar of 40 on a tight hold: %s", s.last.Advice.Verdict)
	}
	for range 1200 { // 12 mbar a second, far more than its cooling
		s.absPa -= 1.2e2
		s.sampleOf()
		s.pad(0)
	}
	must.Need(t, present(&s.last, alarm.Leak), "the stand leaks and nobody says so: %+v", s.last.Leak)
	a := s.last.Advice
	must.Be(t, a.Verdict == advise.VerdictVent && a.RampPaS == 0 && strings.Contains(a.Reason.String(), "losing") && math.IsNaN(a.TargetInS),
		"advice %+v", a)
}

// Without a gas probe a vessel that stands is not topped up: the fill would be
// blind at once.
func TestNoTopUpWithoutTheGasProbe(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 30)
	s.dead[atGas] = true
	s.run(5, 0)
	a := s.last.Advice
	must.Be(t, a.Verdict == advise.VerdictUnknown && strings.Contains(a.Reason.String(), "gas temperature"), "advice %+v", a)
}

// A wall that may have been at the onset under pressure gets no more gas in
// this fill, also when it has cooled: the order is to vent, until it is vented.
// The next fill begins anew.
func TestNoMoreGasAfterOnset(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, 50, skinChannels))
	s.ambientK = 310
	s.state = s.model.Uniform(s.ambientK)
	s.hello()
	s.run(10, 0)
	for s.run(1, 60*barPerMin); !present(&s.last, alarm.WallOver); s.run(1, 60*barPerMin) {
		must.Need(t, s.gaugePa() <= 48e5, "the stand never got hot enough")
	}
	s.see = func(got Snapshot) {
		must.Need(t, got.Phase <= phase.Vented || got.Advice.Verdict == advise.VerdictVent,
			"%s after the onset: %s: %s", got.Phase, got.Advice.Verdict, got.Advice.Reason)
	}
	for range 40 { // it cools
		s.ambientK = 285
		if s.run(30, 0); s.last.MarginK > 8 {
			break
		}
	}
	if a := s.last.Advice; a.Verdict != advise.VerdictVent || !strings.Contains(a.Reason.String(), "reached onset under pressure") || !math.IsNaN(a.WaitS) {
		t.Errorf("margin %.1f K: %+v", s.last.MarginK, a)
	}
	s.run(200, -12*barPerMin)
	s.run(60, 0)
	must.Be(t, s.last.Phase == phase.Vented && s.last.Advice.Verdict != advise.VerdictHold,
		"vented again: %s, %s", s.last.Phase, s.last.Advice.Reason)
}

// Gas that goes on coming in though the advice is to shut is an alarm.
func TestFillingOnAgainstTheAdvice(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, 54, skinChannels))
	s.ambientK = 310
	s.state = s.model.Uniform(s.ambientK)
	s.hello()
	s.run(10, 0)
	for s.run(1, 12*barPerMin); s.last.Advice.Verdict != advise.VerdictHold; s.run(1, 12*barPerMin) {
		must.Need(t, s.gaugePa() <= 45e5 && s.last.Advice.Verdict != advise.VerdictStop,
			"no advice to shut before %s at %.1f bar", s.last.Advice.Verdict, s.gaugePa()/1e5)
	}
	s.run(11, 12*barPerMin) // reaction time, window of the ramp, and the alarm's own delay
	if a := find(&s.last, alarm.RampHigh); s.last.Advice.Verdict != advise.VerdictHold || a == nil || !strings.Contains(a.Cause.String(), "gas still comes in") {
		t.Errorf("%s (%s), gas comes in, and the alarms are %+v", s.last.Advice.Verdict, s.last.Advice.Reason, s.last.Alarms)
	}
}
