package monitor

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/phase"
)

// A whole fill has its five phases, each once: cooling after a fill is not
// venting, and warming after a vent is not filling.
func TestPhases(t *testing.T) {
	t.Parallel()
	for _, ramp := range []float64{3, 24, 55} {
		s := vented(t, onsetFarC)
		s.unplanned = true
		s.fill(ramp*barPerMin, 38*testBar)
		hot := s.state.GasK
		s.run(240, 0)
		must.Need(t, ramp <= 10 || hot-s.state.GasK >= 10, "the pad's gas cooled by %.1f K only: nothing to be taken for a vent", hot-s.state.GasK)
		s.fill(-12*barPerMin, 3*testBar)
		cold := s.state.GasK
		s.run(240, 0)
		must.Need(t, s.state.GasK-cold >= 5, "the pad's gas warmed by %.1f K only: nothing to be taken for a fill", s.state.GasK-cold)
		s.fill(-12*barPerMin, 0)
		s.run(60, 0)
		want := []string{"vented", "filling", "holding", "venting", "holding", "venting", "vented"}
		got := s.phases
		must.Be(t, slices.Equal(got, want), "ramp %g bar/min: %v, want %v", ramp, got, want)
	}
}

// A phase is noticed soon: a fill and a vent within 3 s, and their end.
func TestPhaseSoon(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.unplanned = true
	for _, c := range []struct {
		ramp, forS, withinS float64
		want                phase.Phase
	}{
		{24, 80, 3, phase.Filling}, {0, 60, 4, phase.Holding}, {-12, 60, 4, phase.Venting}, {0, 60, 4, phase.Holding},
		{2, 60, 6, phase.Filling}, {0, 30, 6, phase.Holding},
	} {
		start := s.last.TimeS
		s.run(c.forS, c.ramp*barPerMin)
		must.Be(t, s.last.Phase == c.want && s.last.PhaseSince-start <= c.withinS,
			"%s, %.1f s after it began; want %s within %g s", s.last.Phase, s.last.PhaseSince-start, c.want, c.withinS)
	}
}

// Noise never makes a phase flicker: ten minutes vented and ten minutes on a
// hold, from a quiet sensor to one with eight times the step of a 12-bit
// converter on 100 bar (3.1 kPa). Once the gas has settled the phase stays.
func TestNoFlicker(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ sigmaPa, sigmaK float64 }{{0, 0}, {3000, 0.2}, {12_000, 0.5}, {25_000, 1}} {
		t.Run(fmt.Sprintf("%g Pa, %g K", c.sigmaPa, c.sigmaK), func(t *testing.T) {
			t.Parallel()
			s := newStand(t, onsetFarC)
			s.sigmaPa, s.sigmaK, s.periodMS, s.unplanned = c.sigmaPa, c.sigmaK, 200, true
			s.hello()
			s.run(600, 0)
			if got := s.phases; !slices.Equal(got, []string{"vented"}) {
				t.Errorf("ten minutes vented: %v", got)
			}
			s.fill(24*barPerMin, 20*testBar)
			s.run(600, 0)
			if got := s.phases; !slices.Equal(got, []string{"vented", "filling", "holding"}) {
				t.Errorf("a fill and ten minutes of hold: %v", got)
			}
		})
	}
}

// A gap in the data of a running fill does not make a hold of it.
func TestPhaseOverGap(t *testing.T) {
	t.Parallel()
	for _, gapS := range []uint32{2, 4, 8} {
		s := vented(t, onsetFarC)
		s.unplanned = true
		s.run(30, 24*barPerMin)
		s.silence(250, 1000*gapS)
		for range gapS * 1000 / s.periodMS {
			s.pad(24 * barPerMin)
		}
		s.run(10, 24*barPerMin)
		got := s.phases
		must.Be(t, slices.Equal(got, []string{"vented", "filling"}), "a gap of %d s: %v", gapS, got)
		s.run(10, 0)
		must.Be(t, s.last.Phase == phase.Holding, "after the fill with a gap: %s", s.last.Phase)
	}
}

// When the fill ended within a gap, that is found out after it.
func TestFillEndsInGap(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	s.run(30, 24*barPerMin)
	s.silence(250, 8000)
	for range 8000 / s.periodMS {
		s.pad(0)
	}
	s.run(6, 0)
	must.Be(t, s.last.Phase == phase.Holding, "6 s after a gap in which the fill ended: %s", s.last.Phase)
}

// A record that starts under pressure is a hold, one that starts during a
// fill is a fill.
func TestPhaseAtStart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ramp float64
		want phase.Phase
	}{{0, phase.Holding}, {24, phase.Filling}, {-10, phase.Venting}} {
		s := newStand(t, onsetFarC)
		s.absPa = 20 * testBar
		s.hello()
		s.run(5, c.ramp*barPerMin)
		must.Be(t, s.last.Phase == c.want, "record that starts at 20 bar, %g bar/min: %s, want %s", c.ramp, s.last.Phase, c.want)
	}
}

// A fill without any thermometer is seen as one all the same, and is blind.
func TestFillingWithoutThermometer(t *testing.T) {
	t.Parallel()
	s := newStand(t, onsetFarC)
	s.dead[atGas], s.dead[atAmbient] = true, true
	s.hello()
	s.run(10, 0)
	must.Be(t, s.last.Phase == phase.Vented, "vented without a thermometer: %s", s.last.Phase)
	s.run(15, 24*barPerMin)
	must.Be(t, s.last.Phase == phase.Filling && present(&s.last, "blind"),
		"filling without a thermometer: %s, alarms %+v", s.last.Phase, s.last.Alarms)
	must.Be(t, math.IsNaN(s.last.HottestK) && math.IsNaN(s.last.MarginK), "a wall of %v K from no thermometer", s.last.HottestK)
}

// A sun-lit vented vessel at any ambient pressure near the profile's is vented.
func TestVentedOffset(t *testing.T) {
	t.Parallel()
	for _, offPa := range []float64{-5000, 5000, 20_000} {
		s := newStand(t, onsetFarC)
		s.absPa = float64(s.profile.AmbientPressure) + offPa
		s.hello()
		for range 100 {
			s.sampleOf()
			s.ms += s.periodMS
		}
		must.Be(t, s.last.Phase == phase.Vented, "%g Pa gauge: %s", offPa, s.last.Phase)
	}
}
