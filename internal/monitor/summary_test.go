package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// TestSummary: from the first inflow until vented again, against what the
// pad really did and what each Snapshot said.
func TestSummary(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	must.Need(t, !s.last.Summary.Begun, "a fill is under way in a vented vessel")
	var pMost, hotMost, marginLeast, raised = 0.0, 0.0, math.Inf(1), map[string]bool{}
	s.see = func(got Snapshot) {
		pMost, hotMost = math.Max(pMost, got.PressurePa), math.Max(hotMost, got.HottestK)
		if got.Summary.Begun { // before the first gas the band is wider
			marginLeast = math.Min(marginLeast, got.MarginK)
		}
		for _, a := range got.Alarms {
			raised[a.Name] = true
		}
	}
	s.fill(30*barPerMin, 40.5*testBar)
	fillS := 40.5 / 30 * 60
	s.run(90, 0)
	s.run(450, -6*barPerMin)
	s.run(5, 0)
	got := s.last.Summary
	must.Need(t, s.last.Phase == phase.Vented && got.Done, "phase %s, %+v", s.last.Phase, got)
	must.Be(t, math.Abs(got.FillS-fillS) <= 6 && math.Abs(got.HoldS-90) <= 10,
		"filled %.1f s, held %.1f s; the pad %.1f s and 90 s", got.FillS, got.HoldS, fillS)
	must.Be(t, got.PressureMostPa == pMost && got.PeakK == hotMost && got.MarginLeastK == marginLeast,
		"most %v of %v Pa, %v of %v K, margin %v of %v K", got.PressureMostPa, pMost, got.PeakK, hotMost, got.MarginLeastK, marginLeast)
	r := got.RampMostPaS / barPerMin
	must.Be(t, r > 29 && r < 36, "fastest %.1f bar/min at 30", r)
	must.Be(t, got.Advisories+got.Cautions+got.Aborts >= len(raised) && raised[alarm.TargetReached],
		"%d, %d and %d alarms; raised were %v", got.Advisories, got.Cautions, got.Aborts, raised)
	must.Be(t, !got.LeakSeen && !math.IsNaN(got.Leak.RateKgS), "leak after a tight hold of 90 s: %+v", got.Leak)
	last := eventsOf(&s.last, EventPhase)
	text := last[len(last)-1] + last[len(last)-2]
	must.Be(t, strings.Contains(text, "fill over after") && strings.Contains(text, "no leak seen"), "the record says %q", text)
}

// noisy steps for 10 minutes at 20 Hz with the pressure about a mean, normal
// noise cut at two bands, and counts how often the alarm comes.
func noisy(t *testing.T, meanPa, bandPa float64) (comes int) {
	s := vented(t, onsetFarC)
	s.periodMS, s.unplanned = 50, true
	s.fill(40*barPerMin, meanPa)
	was := false
	s.see = func(got Snapshot) {
		now := present(&got, alarm.PressureNear)
		if now && !was {
			comes++
		}
		was = now
	}
	for range 600 * 20 {
		s.absPa = float64(s.profile.AmbientPressure) + meanPa + math.Max(-2, math.Min(2, s.rng.NormFloat64()))*bandPa
		s.sampleOf()
		s.ms += s.periodMS
	}
	return comes
}

// TestNoiseAtAThreshold: a pressure that hangs on a threshold with noise of
// two bands for 10 minutes does not make its alarm chatter. The band is what
// a 12-bit sensor of 100 bar reads wrong (1.5 counts, two sigma: common
// practice, no source).
func TestNoiseAtAThreshold(t *testing.T) {
	t.Parallel()
	const bandPa = 1.5 * 100e5 / 4095
	for _, off := range []float64{-0.05e5, 0, 0.05e5} {
		comes := noisy(t, nearShare*50*testBar+off, bandPa)
		t.Logf("%+.2f bar from the threshold, noise ±%.2f bar: raised %d times in 10 min", off/1e5, 2*bandPa/1e5, comes)
		must.Be(t, comes <= 1, "%+.2f bar: raised %d times", off/1e5, comes)
	}
}

// TestPulledCable: one cause, one alarm. Standing, a dead cable is data-stale
// and nothing else, however long; filling, blind joins it after 3 s.
func TestPulledCable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		make func() *stand
		want []string
	}{
		{"vented", func() *stand { return vented(t, onsetFarC) }, []string{alarm.DataStale}},
		{"holding", func() *stand { return held(t, onsetFarC, 40) }, []string{alarm.DataStale}},
		{"filling", func() *stand {
			s := vented(t, onsetFarC)
			s.fill(20*barPerMin, 20*testBar)
			return s
		}, []string{alarm.DataStale, alarm.Blind}},
	} {
		s := c.make()
		s.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		before := map[string]bool{}
		for _, a := range s.last.Alarms {
			before[a.Name] = true
		}
		var raised []string
		s.see = func(got Snapshot) {
			for _, a := range got.Alarms {
				if !before[a.Name] {
					before[a.Name] = true
					raised = append(raised, a.Name)
				}
			}
			must.Be(t, len(raised) <= 1 || got.Link.AgeS >= 3, "%s, %.2f s after the pull: %v", c.name, got.Link.AgeS, raised)
		}
		s.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkDown, Text: "cable pulled"}))
		s.silence(250, 120_000)
		t.Logf("%s: %d alarms in 2 min: %v", c.name, len(raised), raised)
		must.Be(t, strings.Join(raised, " ") == strings.Join(c.want, " "), "%s: raised %v, want %v", c.name, raised, c.want)
	}
}
