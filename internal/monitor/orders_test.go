package monitor

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/leak"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wire"
)

// leaking is a hold at 20 bar that loses 12 mbar a second until its leak is
// called.
func leaking(t *testing.T) *stand {
	t.Helper()
	s := held(t, onsetFarC, 10)
	for range 1200 {
		s.absPa -= 1.2e2
		s.sampleOf()
		s.pad(0)
	}
	must.Need(t, present(&s.last, alarm.Leak) && s.last.Advice.Verdict == advise.VerdictVent,
		"no leak is called: %+v, %s", s.last.Leak, s.last.Advice.Verdict)
	return s
}

// A called leak stands in every phase, whatever the valve does, until the
// vessel is vented; the fill after that begins anew.
func TestCalledLeakLatches(t *testing.T) {
	t.Parallel()
	s := leaking(t)
	rate := s.last.Leak.RateKgS
	s.see = func(got Snapshot) {
		must.Need(t, got.Phase <= phase.Vented || got.Advice.Verdict == advise.VerdictVent && got.Leak.Significant && present(&got, alarm.Leak),
			"%.1f s, %s: %s (%s), leak %+v", got.TimeS, got.Phase, got.Advice.Verdict, got.Advice.Reason, got.Leak)
	}
	s.run(40, 0)            // the hole has closed
	s.run(30, 20*barPerMin) // against the order
	s.run(60, 0)            //
	s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
	s.run(20, 0)
	must.Be(t, math.Abs(s.last.Leak.RateKgS-rate) <= 0.6*rate, "the leak called at %.3g kg/s is told as %.3g", rate, s.last.Leak.RateKgS)
	s.fill(-12*barPerMin, 0)
	s.run(60, 0)
	if s.last.Phase != phase.Vented || s.last.Leak.Significant || present(&s.last, alarm.Leak) || s.last.Advice.Verdict != advise.VerdictReady {
		t.Errorf("vented: %s, %+v, %s", s.last.Phase, s.last.Leak, s.last.Advice.Reason)
	}
	s.see = nil
	s.fill(12*barPerMin, 10*testBar)
	must.Be(t, s.last.Advice.Verdict != advise.VerdictVent, "the next fill: %s", s.last.Advice.Reason)
}

// A second look takes a leak back that is not there any more, leaves one that
// is, and is refused where it can't tell.
func TestSecondLook(t *testing.T) {
	t.Parallel()
	look := wire.Entry{Kind: wire.EntryWithdraw, Text: SecondLook}
	tight := leaking(t)
	tight.run(60, 0)
	before := tight.last.TimeS
	tight.entry(look)
	tight.see = func(got Snapshot) {
		must.Need(t, got.TimeS >= before+leak.SecondLookS || got.Advice.Verdict == advise.VerdictVent,
			"%.1f s after the second look began: %s", got.TimeS-before, got.Advice.Verdict)
	}
	tight.run(90, 0)
	tight.see = nil
	if tight.last.Advice.Verdict == advise.VerdictVent || !slices.ContainsFunc(eventsOf(&tight.last, EventEntry), func(e string) bool { return strings.Contains(e, "taken back") }) {
		t.Errorf("a second look at a tight vessel: %s, %v", tight.last.Advice.Reason, eventsOf(&tight.last, EventEntry))
	}
	tight.run(60, 0)
	must.Be(t, !present(&tight.last, alarm.Leak), "what was looked at before calls the leak again")

	hole := leaking(t)
	hole.entry(look)
	for range 900 {
		hole.absPa -= 1.2e2
		hole.sampleOf()
		hole.pad(0)
	}
	if hole.last.Advice.Verdict != advise.VerdictVent || !slices.ContainsFunc(eventsOf(&hole.last, EventEntry), func(e string) bool { return strings.Contains(e, "the leak stands") }) {
		t.Errorf("a second look at a leak: %s, %v", hole.last.Advice.Reason, eventsOf(&hole.last, EventEntry))
	}
	hole.entry(look)
	hole.fill(-12*barPerMin, 5*testBar)
	hole.entry(look)
	if last := eventsOf(&hole.last, EventEntry); !strings.Contains(last[len(last)-1], "must stand shut") || hole.last.Advice.Verdict != advise.VerdictVent {
		t.Errorf("a second look in a vent: %v", last)
	}
	none := held(t, onsetFarC, 40)
	none.entry(look)
	if last := eventsOf(&none.last, EventEntry); !strings.Contains(last[len(last)-1], "no leak was called") {
		t.Errorf("a second look without a leak: %v", last)
	}
}

// Gas that leaves faster than 3 bar/min is an alarm unless somebody asked for
// it: said it, in time, or was told to vent, or the planned hold is over.
func TestGasThatNobodyAskedToLeave(t *testing.T) {
	t.Parallel()
	vent := wire.Entry{Kind: wire.EntryConfirm, Text: VentSaid}
	for _, c := range []struct {
		what  string
		begin func(s *stand)
		loss  bool
	}{
		{"nobody said", func(s *stand) {}, true},
		{"said", func(s *stand) { s.entry(vent) }, false},
		{"said long ago", func(s *stand) { s.entry(vent); s.run(90, 0) }, true},
		{"taken back", func(s *stand) { s.entry(vent); s.entry(wire.Entry{Kind: wire.EntryWithdraw, Text: VentSaid}) }, true},
		{"the hold is over", func(s *stand) { s.run(900, 0) }, false},
	} {
		s := held(t, onsetFarC, 60)
		c.begin(s)
		s.run(60, -8*barPerMin)
		if got := present(&s.last, alarm.GasLoss); got != c.loss || s.last.Advice.Verdict.AsksForGas() || (s.last.Advice.Verdict == advise.VerdictVent) != c.loss {
			t.Errorf("%s: alarm %v, %s (%s)", c.what, got, s.last.Advice.Verdict, s.last.Advice.Reason)
		}
		s.run(30, 0) // it stops: what left is still gone
		must.Equal(t, present(&s.last, alarm.GasLoss), c.loss, "%s, and then it stops: alarm", c.what)
		s.entry(vent)
		if s.run(4, 0); present(&s.last, alarm.GasLoss) || s.last.Advice.Verdict == advise.VerdictVent {
			t.Errorf("%s, then said: %s (%s)", c.what, s.last.Advice.Verdict, s.last.Advice.Reason)
		}
	}
}

// Gas that cools after the fastest fill is no loss.
func TestCoolingIsNoLoss(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.see = func(got Snapshot) {
		must.Need(t, !present(&got, alarm.GasLoss) && got.Phase != phase.Venting,
			"%.1f s: %s, %.1f bar/min", got.TimeS, got.Phase, got.RampPaS/barPerMin)
	}
	s.fill(60*barPerMin, 39*testBar)
	s.run(120, 0)
}

// A vent that gets slow is one until the gas has gone: nothing of it is a
// hold, a leak, or room for a top-up.
func TestSlowEndOfAVent(t *testing.T) {
	t.Parallel()
	for _, slow := range []float64{0.5, 1, 1.5, 2} {
		s := held(t, onsetFarC, 60)
		s.entry(wire.Entry{Kind: wire.EntryConfirm, Text: VentSaid})
		s.fill(-8*barPerMin, 1.5*testBar)
		s.see = func(got Snapshot) {
			if got.Phase != phase.Venting && got.Phase != phase.Vented || got.Advice.Verdict == advise.VerdictTopUp || present(&got, alarm.Leak) {
				t.Fatalf("%g bar/min: %s at %.2f bar, %s", slow, got.Phase, got.PressurePa/testBar, got.Advice.Verdict)
			}
		}
		s.fill(-slow*barPerMin, 0)
		s.run(60, 0)
		must.Be(t, s.last.Phase == phase.Vented, "%g bar/min, in the end: %s", slow, s.last.Phase)
	}
}

// After the cable was out from the fill until the vessel stood empty, nothing
// asks for gas.
func TestBackWhenItIsEmpty(t *testing.T) {
	t.Parallel()
	for _, seen := range []bool{false, true} {
		s := vented(t, onsetFarC)
		s.run(40, 24*barPerMin)
		s.silence(250, 60_000)
		if seen {
			s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		}
		s.ms += 60_000
		s.absPa = float64(s.profile.AmbientPressure)
		s.state = s.model.Uniform(s.ambientK)
		s.see = func(got Snapshot) {
			if v := got.Advice.Verdict; v.AsksForGas() && v != advise.VerdictReady || got.Phase == phase.Filling && got.Link.AgeS == 0 && got.PressurePa < 1e3 && v == advise.VerdictFill {
				t.Fatalf("%.1f s, %s at %.2f bar: %s", got.TimeS, got.Phase, got.PressurePa/testBar, v)
			}
		}
		s.run(20, 0)
		must.Be(t, s.last.Phase == phase.Vented, "back at 0 bar: %s", s.last.Phase)
		for _, a := range s.last.Alarms {
			must.Be(t, a.Name != alarm.Blind || !a.Present() && a.Do == "" && !seen, "the alarm of the time without data: %+v", a)
		}
	}
}

// Closing the valve at the target is no ramp that is too fast, at no speed of
// the fill or the hand.
func TestClosingIsNotTooFast(t *testing.T) {
	t.Parallel()
	for _, ramp := range []float64{6, 24, 55} {
		for _, closeS := range []float64{0, 2, 4} {
			s := vented(t, onsetFarC)
			s.m.pace.toldPaS = math.Inf(1)
			s.see = func(got Snapshot) {
				must.Need(t, got.PressurePa <= 38*testBar || !present(&got, alarm.RampHigh),
					"%g bar/min, closed in %g s: %+v", ramp, closeS, got.Alarms)
			}
			s.fill(ramp*barPerMin, 39.5*testBar)
			for left := closeS; left > 0; left -= 0.5 {
				s.run(0.5, ramp*barPerMin*left/closeS*0.5)
			}
			s.run(30, 0)
		}
	}
}

// The advised ramp grows no faster than a hand follows: what READY or MAY TOP
// UP said is where the fill begins, and a top-up near the target stays as slow as it was told.
func TestPaceGrowsSlowly(t *testing.T) {
	t.Parallel()
	s := vented(t, 75)
	told := s.last.Advice.RampPaS
	must.Need(t, s.last.Advice.Verdict == advise.VerdictReady, "%s", s.last.Advice.Verdict)
	was, at := told, s.last.TimeS
	s.see = func(got Snapshot) {
		must.Need(t, got.Phase != phase.Filling || got.Advice.RampPaS <= was*math.Exp2((got.TimeS-at)/paceDoublesS)*1.001,
			"%.1f s: at most %.1f bar/min, after %.1f", got.TimeS, got.Advice.RampPaS/barPerMin, was/barPerMin)
		if got.Advice.RampPaS > 0 {
			was, at = got.Advice.RampPaS, got.TimeS
		}
		if v := got.Advice.Verdict; got.Phase == phase.Filling && (v == advise.VerdictFill && got.RampPaS > 1.1*got.Advice.RampPaS || v == advise.VerdictEase && got.RampPaS <= got.Advice.RampPaS) {
			t.Fatalf("%s, at most %.1f, at %.1f bar/min", v, got.Advice.RampPaS/barPerMin, got.RampPaS/barPerMin)
		}
	}
	s.fill(20*barPerMin, 37*testBar)
	s.run(120, 0)
	must.Need(t, s.last.Advice.Verdict == advise.VerdictTopUp, "%s (%s)", s.last.Advice.Verdict, s.last.Advice.Reason)
	most := s.last.Advice.RampPaS
	s.see = func(got Snapshot) {
		must.Need(t, got.Phase != phase.Filling || got.Advice.RampPaS <= most*1.001,
			"a top-up at most %.1f bar/min becomes %.1f", most/barPerMin, got.Advice.RampPaS/barPerMin)
	}
	s.run(10, 0.8*most)
}

// A fill that was shut early, while the wall was warm, is told to go on as slowly as
// the wall then wants. Once that has cooled it is told to go faster, by no more than a
// hand follows: only what is missing at a top-up near the target keeps it slow.
func TestTopUpFarFromTheTargetGrows(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, 60, skinChannels))
	outside := func(k float64) { s.state.OutK[thermal.SideSun], s.state.OutK[thermal.SideShade] = k, k }
	warm := s.model.Uniform(318.7)
	s.state.Wall, s.state.OutK, s.state.SkinK = warm.Wall, warm.OutK, warm.SkinK
	s.hello()
	s.run(20, 0)
	s.fill(5*barPerMin, 1.9*testBar)
	s.run(40, 0)
	told := s.last.Advice.RampPaS
	v := s.last.Advice.Verdict
	must.Need(t, v == advise.VerdictTopUp && told <= 4*barPerMin, "a warm wall: %s at %.1f bar/min", v, told/barPerMin)
	outside(300) // shaded and wetted
	was, at := told, s.last.TimeS
	s.see = func(got Snapshot) {
		must.Need(t, got.Phase != phase.Filling || got.Advice.RampPaS <= was*math.Exp2((got.TimeS-at)/paceDoublesS)*1.001,
			"%.1f s: at most %.1f bar/min, after %.1f", got.TimeS, got.Advice.RampPaS/barPerMin, was/barPerMin)
		if got.Advice.RampPaS > 0 && got.Advice.RampPaS != was {
			was, at = got.Advice.RampPaS, got.TimeS
		}
		must.Need(t, !present(&got, alarm.WallMargin), "%.1f s: margin %.1f K", got.TimeS, got.MarginK)
	}
	begun := s.last.TimeS
	for s.gaugePa() < 38*testBar && s.last.TimeS < begun+600 {
		s.run(1, max(s.last.Advice.RampPaS, 2*barPerMin))
	}
	took := s.last.TimeS - begun
	must.Need(t, took <= 300, "after %.0f s at %.1f bar, told %.1f bar/min", took, s.gaugePa()/testBar, s.last.Advice.RampPaS/barPerMin)
}

// A coast peak is never under what the wall is at, also between two looks
// ahead.
func TestCoastIsNeverUnderThePresent(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, 70, skinChannels))
	s.hello()
	s.see = func(got Snapshot) {
		if o := &got.Outlook; o.CoastPeakK < got.HottestK || o.CoastPeakK+o.CoastPeakBandK < got.HottestK+got.BandK-1e-9 {
			t.Fatalf("%.1f s: coast %.2f ± %.2f, now %.2f ± %.2f", got.TimeS, o.CoastPeakK, o.CoastPeakBandK, got.HottestK, got.BandK)
		}
	}
	s.run(20, 0)
	s.fill(40*barPerMin, 30*testBar)
	s.ambientK = 320 // the sun comes out
	s.run(120, 0)
	s.fill(-12*barPerMin, 0)
	s.run(30, 0)
}

// A dead gas probe ends no account: once vented the fill is over, and another
// is not begun.
func TestVentedWithoutGasProbe(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 40)
	s.dead[atGas] = true
	s.run(20, 0)
	s.fill(-12*barPerMin, 0)
	s.run(40, 0)
	if s.last.Phase != phase.Vented || !s.last.Summary.Done || s.last.Advice.Verdict != advise.VerdictNoStart || !strings.Contains(s.last.Advice.Reason.String(), "gas temperature") {
		t.Errorf("%s, done %v, %s (%s)", s.last.Phase, s.last.Summary.Done, s.last.Advice.Verdict, s.last.Advice.Reason)
	}
}

// The list says what was read and how: a sensor is no reading by hand.
func TestReadySaysHowTheWallWasRead(t *testing.T) {
	t.Parallel()
	item := func(s *Snapshot) checklist.Item {
		for _, i := range s.Ready {
			if i.Name == "surface" {
				return i
			}
		}
		t.Fatal("no item")
		return checklist.Item{}
	}
	s := standOn(t, testProfile(t, onsetFarC, skinChannels))
	s.hello()
	s.run(5, 0)
	if got := item(&s.last); got.State != checklist.Yes || got.Why.String() != "by sensor: sun, shade" || strings.Contains(got.Title, "taken") {
		t.Errorf("%+v", got)
	}
	s.dead[atShade] = true
	s.run(5, 0)
	if got := item(&s.last); got.State != checklist.No || got.Why.String() != "read by hand: shade" {
		t.Errorf("%+v", got)
	}
	s.surface(1, s.ambientK)
	s.run(2, 0)
	if got := item(&s.last); got.State != checklist.Yes || got.Why.String() != "by sensor: sun; by hand: shade" {
		t.Errorf("%+v", got)
	}
}
