package monitor

import (
	"math"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// learnedModel is the handbook's as if fills had confirmed it.
func learnedModel(p *vessel.Profile) *wallmodel.Learned {
	l := wallmodel.HandbookFor(p)
	l.Fills, l.DiscrepancyK = []string{"invented"}, 0.42
	l.Range = wallmodel.Range{RampMostPaS: 1e5, DensityMost: 60, GasMostK: 350, AmbientLeastK: 270, AmbientMostK: 320}
	l.Gains = &thermal.SunGains{Shade: thermal.Normal{SigmaK: 2}, Lit: thermal.Normal{SigmaK: 6}}
	for i := range l.Cov {
		l.Cov[i][i] *= 0.3 * 0.3
	}
	return l
}

// noisyWall lets a warm vessel with a sensor on each station stand for 10
// minutes at 20 Hz while every thermocouple reads normal noise of sigmaK, cut
// at two of it. It gives the mean margin of the last nine minutes and how
// often the caution of a low margin came.
func noisyWall(t *testing.T, onsetC, sigmaK float64) (marginK, bandK float64, comes int) {
	s := standOn(t, testProfile(t, onsetC, skinChannels))
	s.m = New(Config{Profile: s.profile, Model: learnedModel(s.profile)})
	s.periodMS, s.ambientK, s.unplanned = 50, 40+zeroCK, true
	s.state = s.model.Uniform(s.ambientK)
	s.hello()
	calm := s.ambientK
	noise := func() float64 { return calm + sigmaK*math.Max(-2, math.Min(2, s.rng.NormFloat64())) }
	was, n := false, 0
	s.see = func(got Snapshot) {
		now := present(&got, alarm.WallMargin)
		if now && !was {
			comes++
		}
		was = now
		if got.TimeS > 60 {
			marginK, bandK = marginK+got.MarginK, bandK+got.BandK
			n++
		}
	}
	for range 600 * 20 {
		s.state.BeadK, s.state.SkinK[0], s.state.SkinK[1], s.ambientK = noise(), noise(), noise(), noise()
		s.sampleOf()
		s.ms += s.periodMS
	}
	return marginK / float64(n), bandK / float64(n), comes
}

// TestNoiseAtTheMargin: a wall that stands at the threshold of its caution,
// read with noise of twice its own band for 10 minutes, does not make the
// caution chatter.
func TestNoiseAtTheMargin(t *testing.T) {
	t.Parallel()
	const warmC = 60
	_, bandK, _ := noisyWall(t, warmC, 0.5)
	far, _, _ := noisyWall(t, warmC, bandK)
	for _, off := range []float64{-0.5, -0.25, 0, 0.25, 0.5} {
		margin, _, comes := noisyWall(t, warmC-far+marginOnK+off, bandK)
		t.Logf("mean margin %.2f K, caution at %.1f K, readings ±%.1f K: raised %d times in 10 min", margin, marginOnK, 2*bandK, comes)
		must.Be(t, comes <= 1, "%+.2f K from the threshold: raised %d times", off, comes)
		must.Be(t, math.Abs(margin-marginOnK-off) <= 0.2, "the wall stood %.2f K from the threshold, not %.2f", margin-marginOnK, off)
	}
}
