package monitor

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/bend"
	"fillwright/internal/laminate"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// bowEveryS is how often the bow is computed anew; the ratio that the caution
// hangs on is at every input.
const bowEveryS = 1.0

// Sides is what the difference between the sunny and the shaded side does to the
// vessel. Known is false where the profile has no plies: then nothing is to be
// said of it. Unknown numbers are NaN.
type Sides struct {
	Known      bool
	Warm, Cool bend.Place // the sides as estimated, by their warmth
	Ratio      float64    // stiffness along the vessel, warm side over cool side, doubt counted as warmth
	Bow        laminate.Bow
}

// sidesWatch is what the monitor keeps for Sides.
type sidesWatch struct {
	tube   *laminate.Tube // nil: the profile has no plies
	bowedS float64        // session time of the last bow
}

// Unknown is Sides with its numbers not known.
func (s Sides) Unknown() Sides {
	nan := math.NaN()
	f := laminate.Figure{Value: nan, Low: nan, High: nan}
	s.Warm.BandK, s.Cool.BandK = nan, nan
	s.Ratio, s.Warm.InnerK, s.Warm.OuterK, s.Cool.InnerK, s.Cool.OuterK = nan, nan, nan, nan, nan
	s.Bow = laminate.Bow{CurvaturePerM: f, SagM: f, Strain: f, BendShare: f, SunShare: f, ShadeShare: f, SidesRatio: f}
	return s
}

// estimateSides takes the sides from the filter: the sunniest line and where no
// beam falls, whether a station lies there or not. The band is the hottest
// place's.
func (m *Monitor) estimateSides() {
	if m.sides.tube == nil {
		return
	}
	s := &m.snap
	place := func(name string, side int) bend.Place {
		inner, outer := m.est.Side(side)
		return bend.Place{Name: name, InnerK: inner, OuterK: outer, BandK: s.BandK}
	}
	s.Sides.Known = true
	s.Sides.Warm, s.Sides.Cool, _ = bend.Sides([]bend.Place{place("sunny", thermal.SideSun), place("shaded", thermal.SideShade)})
}

// judgeSides brings the sides up to date and raises the caution under the
// profile's limit. Not knowing clears no alarm.
func (m *Monitor) judgeSides(under bool) {
	s := &m.snap
	sides := &s.Sides
	if !sides.Known {
		return
	}
	at := bend.Moment{TimeS: s.TimeS, PressurePa: s.PressurePa, Warm: sides.Warm, Cool: sides.Cool}.State()
	sides.Ratio = m.sides.tube.SidesRatio(at)
	switch {
	case math.IsNaN(sides.Ratio) || math.IsNaN(s.PressurePa):
		sides.Bow, m.sides.bowedS = sides.Unknown().Bow, math.Inf(-1)
	case s.TimeS-m.sides.bowedS >= bowEveryS-1e-6:
		sides.Bow, m.sides.bowedS = m.sides.tube.Bow(at), s.TimeS
	}
	limit := m.cfg.Profile.Limits.SidesStiffnessLeast
	if !under {
		m.alarms.Set(alarm.SideSoft, false, wording.Text{})
		return
	}
	cause := wording.Text{}
	if sides.Ratio <= limit+0.1 {
		cause = wording.SideSoft(sides.Warm.Name, sides.Cool.Name, sides.Ratio, limit)
	}
	m.alarms.SetBelow(alarm.SideSoft, sides.Ratio, limit, cause)
}
