package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wallmodel"
)

// taughtBy is a stand whose model comes from fills at up to so fast a ramp, and
// whose wall allows any.
func taughtBy(t *testing.T, rampPaS float64, fills ...string) *stand {
	t.Helper()
	s := newStand(t, onsetFarC)
	l := wallmodel.Handbook()
	l.Fills, l.Vessel = fills, s.profile.Name
	l.Range = wallmodel.Range{RampMostPaS: rampPaS, DensityMost: 100, GasMostK: 500, AmbientLeastK: 200, AmbientMostK: 400}
	s.m = New(Config{Profile: s.profile, Model: l})
	s.hello()
	s.readWalls()
	return s
}

// TestFirstRampIsNoLeap: before the first gas no ramp is offered that is much faster
// than the fills that the model was learned from, and the reason says so; in the fill
// it grows with what this wall has been shown, up to the vessel's own.
func TestFirstRampIsNoLeap(t *testing.T) {
	t.Parallel()
	const learned, over = 6 * barPerMin, 1.76
	s := taughtBy(t, learned, "mild")
	a := s.last.Advice
	must.Need(t, a.Verdict == advise.VerdictReady && a.RampPaS > 1.5*learned && a.RampPaS <= over*learned, "%s at %.1f bar/min", a.Verdict, a.RampPaS/barPerMin)
	must.Need(t, strings.HasPrefix(a.Reason.String(), "fastest fill learned from: 6.0 bar/min; wall would peak at "), "reason %q", a.Reason)
	most := learned
	s.see = func(got Snapshot) {
		most = math.Max(most, got.RampPaS)
		must.Need(t, got.Phase != phase.Filling || got.Advice.RampPaS <= over*most, "%.1f s: at most %.1f bar/min, shown %.1f", got.TimeS, got.Advice.RampPaS/barPerMin, most/barPerMin)
	}
	for s.gaugePa() < 37*testBar && s.last.TimeS < 400 {
		s.run(1, math.Max(s.last.Advice.RampPaS, 2*barPerMin))
	}
	must.Be(t, most > 40*barPerMin, "it grew to %.1f bar/min alone", most/barPerMin)
}

// TestFirstRampLeavesTime: with a slow hand no fill is offered before the first gas
// that is over within five of its reaction times, and the reason says so; where
// neither keeps it from the fastest ramp of the vessel, nothing is said.
func TestFirstRampLeavesTime(t *testing.T) {
	t.Parallel()
	slow := newStand(t, onsetFarC)
	slow.profile.Limits.Reaction = 16 // 40 bar in 80 s are 30 bar/min
	slow.m = New(Config{Profile: slow.profile})
	slow.hello()
	slow.readWalls()
	a := slow.last.Advice
	must.Near(t, "bar/min", a.RampPaS/barPerMin, 30, 0.1)
	must.Be(t, strings.HasPrefix(a.Reason.String(), "faster leaves no time to react; wall would"), "reason %q", a.Reason)
	free := taughtBy(t, 50*barPerMin, "mild")
	a = free.last.Advice
	must.Near(t, "bar/min", a.RampPaS/barPerMin, 60, 0.1)
	must.Be(t, strings.HasPrefix(a.Reason.String(), "wall would"), "reason %q", a.Reason)
}
