package monitor

import (
	"math"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/probe"
)

// zeroOff is a filling stand whose pressure reads offPa too much, under an
// offsets file that says that it may be wrong by bandPa.
func zeroOff(t *testing.T, onsetC, offPa, bandPa float64) *stand {
	p := testProfile(t, onsetC, skinChannels)
	p.Limits.RampMost = rampFree
	s := standOn(t, p)
	s.m = New(Config{Profile: p, Offsets: &probe.Offsets{List: []probe.Offset{
		{Board: 7, Channel: atPressure, Pressure: true, Uncertainty: bandPa, Point: math.NaN()},
	}}})
	s.readsPa = offPa
	s.hello()
	s.run(10, 0)
	return s
}

// A zero that is wrong by all that its offset is unsure of takes no wall out of
// its band, and the doubt of it makes no fill faster.
func TestZeroWithinItsUncertainty(t *testing.T) {
	t.Parallel()
	const bandPa = 0.25 * testBar
	advised := func(offPa, bandPa float64) float64 {
		s := zeroOff(t, 52, offPa, bandPa)
		wasKg := 0.0
		s.see = func(got Snapshot) {
			inKgS := math.Max(0, s.massKg-wasKg) * 1000 / float64(s.periodMS)
			hottest, _ := s.model.HottestOf(&s.state, &s.params, s.massKg/s.model.VolumeM3, inKgS)
			wasKg = s.massKg
			if up := got.HottestK + got.BandK; got.TimeS > 12 && !(up >= hottest) {
				t.Fatalf("%+.2f bar off, ± %.2f bar: wall at most %.2f K at %.1f s, and it is at %.2f K", offPa/1e5, bandPa/1e5, up, got.TimeS, hottest)
			}
		}
		s.run(20, 30*barPerMin)
		s.m.ahead.planner.Forget()
		s.m.ahead.atS, s.m.pace.toldPaS = math.Inf(-1), math.Inf(1)
		s.run(0.4, 30*barPerMin)
		return s.last.Advice.RampPaS
	}
	for _, offPa := range []float64{-bandPa, 0, bandPa} {
		known, doubted := advised(offPa, 0), advised(offPa, bandPa)
		must.Need(t, known > 0 && known < rampFree, "advised %.1f bar/min with a known zero: the wall does not limit it", known/barPerMin)
		t.Logf("%+.2f bar off: advised %.1f bar/min, %.1f with the zero known to %.2f bar", offPa/1e5, known/barPerMin, doubted/barPerMin, bandPa/1e5)
		must.Be(t, doubted <= known,
			"%+.2f bar off: advised %.1f bar/min with the zero in doubt, %.1f without", offPa/1e5, doubted/barPerMin, known/barPerMin)
	}
}

// Limits and target are met by the most that the vessel may hold.
func TestZeroAtTheLimits(t *testing.T) {
	t.Parallel()
	const bandPa = 1 * testBar
	atPa := map[string]float64{}
	for _, band := range []float64{0, bandPa} {
		s := zeroOff(t, onsetFarC, 0, band)
		s.unplanned = true
		at := map[string]float64{}
		s.see = func(got Snapshot) {
			for _, name := range []string{alarm.TargetReached, alarm.PressureNear, alarm.PressureOver} {
				if at[name] == 0 && present(&got, name) {
					at[name] = got.PressurePa
				}
			}
		}
		s.fill(20*barPerMin, 52*testBar)
		for name, pa := range at {
			if band == 0 {
				atPa[name] = pa
			} else if sooner := atPa[name] - pa; math.Abs(sooner-bandPa) > 0.1*bandPa {
				t.Errorf("%s at %.2f bar, %.2f bar sooner; the zero is unsure by %.2f bar", name, pa/1e5, sooner/1e5, bandPa/1e5)
			}
		}
		must.Be(t, len(at) == 3, "alarms at %v", at)
	}
}

// An offset whose uncertainty nobody told may be wrong by all of itself.
func TestUncertaintyThatNobodyTold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ offset, uncertainty, want float64 }{
		{-1.5, math.NaN(), 1.5}, {-1.5, 0.2, 0.2}, {0, math.NaN(), 0},
	} {
		must.Equal(t, uncertainty(&probe.Offset{Offset: c.offset, Uncertainty: c.uncertainty}), c.want, "offset %g ± %g", c.offset, c.uncertainty)
	}
}
