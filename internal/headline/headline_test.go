package headline

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/wording"
)

// TestMarginIsRoundedDown: what is left is never shown as more than it is.
func TestMarginIsRoundedDown(t *testing.T) {
	for k, want := range map[float64]string{6.79: "6.7", 0.04: "0.0", -0.01: "-0.1", -1.25: "-1.3", 3: "3.0", 2.8: "2.8"} {
		must.Equal(t, Margin(quantity.SystemBarC, k), want, "%g shows", k)
	}
}

// TestNoTimeBesideAnAbort: who is told to shut the supply, to vent as well, is told
// of no time for which it may stay open.
func TestNoTimeBesideAnAbort(t *testing.T) {
	s := monitor.Unknown()
	s.Seq, s.Phase, s.PressurePa, s.TargetPa, s.RampPaS = 9, phase.Filling, 20e5, 40e5, 0.4e5
	s.Link.Up, s.Outlook.ToLimitS = true, 90
	told := Told{Now: &s, AgeS: 0.1}
	for v, want := range map[advise.Verdict]string{advise.VerdictFill: "0:50", advise.VerdictStop: AtOnce, advise.VerdictVent: AtOnce, advise.VerdictHold: AtOnce} {
		s.Advice.Verdict = v
		got, _ := told.MayStayOpen()
		must.Equal(t, got, want, "beside %s", v)
	}
	s.Phase, s.Advice.Verdict = phase.Holding, advise.VerdictVent
	got, _ := told.MayStayOpen()
	must.Equal(t, got, quantity.Unknown, "on a hold")
}

// TestEmptyingIsKnown: a vessel whose pressure nobody knows may have been shut again,
// or be empty; that it empties is not told of it. One reading that is missing changes
// no word.
func TestEmptyingIsKnown(t *testing.T) {
	s := monitor.Unknown()
	s.Seq, s.Phase, s.PressurePa, s.RampPaS = 9, phase.Venting, 20e5, -0.2e5
	s.Link.Up = true
	s.Advice.Reason = wording.NoPressureInVent
	told := Told{Now: &s, AgeS: 0.1}
	must.Equal(t, told.Word().Order, wording.Emptying, "with a pressure")
	s.PressurePa = math.NaN()
	must.Equal(t, told.Word().Order, wording.Emptying, "one is missing")
	s.RampPaS = math.NaN()
	must.Equal(t, told.Word().Order, wording.NoData, "none is there")
	must.Be(t, strings.Contains(told.Why(), "second gauge") && !strings.Contains(told.Why(), "supply"), "%q", told.Why())
}

// TestNothingCameYet: before the first reading there is no age of one to tell.
func TestNothingCameYet(t *testing.T) {
	s := monitor.Unknown()
	s.Seq = 1
	told := Told{Now: &s, AgeS: math.Inf(1)}
	must.Be(t, strings.HasPrefix(told.Why(), wording.NoDataYet) && !strings.Contains(told.Why(), "never"), "%q", told.Why())
}
