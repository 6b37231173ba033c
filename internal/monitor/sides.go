package monitor

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/bend"
	"fillwright/internal/laminate"
	"fillwright/internal/vessel"
)

// bowEveryS is how often the bow is computed anew; the ratio that the caution
// hangs on is at every input.
const bowEveryS = 1.0

// Sides is what the difference between the warmest and the coolest station does
// to the vessel. Known is false where the profile has no plies or one station:
// then nothing is to be said of it. Unknown numbers are NaN.
type Sides struct {
	Known      bool
	Warm, Cool string
	Ratio      float64 // stiffness along the vessel, warm side over cool side, doubt counted as warmth
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
	s.Ratio = nan
	s.Bow = laminate.Bow{CurvaturePerM: f, SagM: f, Strain: f, BendShare: f, SunShare: f, ShadeShare: f, SidesRatio: f}
	return s
}

// AppendPlaces appends the places of the wall between which its sides are
// looked for: the stations.
func (s *Snapshot) AppendPlaces(dst []bend.Place) []bend.Place {
	for i := range s.Stations {
		st := &s.Stations[i]
		dst = append(dst, bend.Place{Name: st.Name, InnerK: st.InnerK, OuterK: st.OuterK, BandK: st.BandK})
	}
	return dst
}

// judgeSides brings the sides up to date and raises the caution under the
// profile's limit. Not knowing clears no alarm.
func (m *Monitor) judgeSides(under bool) {
	if m.sides.tube == nil {
		return
	}
	s := &m.snap
	var room [vessel.StationsMost]bend.Place
	warm, cool, ok := bend.Sides(s.AppendPlaces(room[:0]))
	if !ok {
		return
	}
	at := bend.Moment{TimeS: s.TimeS, PressurePa: s.PressurePa, Warm: warm, Cool: cool}.State()
	sides := &s.Sides
	sides.Known, sides.Warm, sides.Cool, sides.Ratio = true, warm.Name, cool.Name, m.sides.tube.SidesRatio(at)
	switch {
	case math.IsNaN(sides.Ratio) || math.IsNaN(s.PressurePa):
		sides.Bow, m.sides.bowedS = sides.Unknown().Bow, math.Inf(-1)
	case s.TimeS-m.sides.bowedS >= bowEveryS-1e-6:
		sides.Bow, m.sides.bowedS = m.sides.tube.Bow(at), s.TimeS
	}
	limit := m.cfg.Profile.Limits.SidesStiffnessLeast
	if !under {
		m.alarms.Set(alarm.SideSoft, false, "")
		return
	}
	cause := ""
	if sides.Ratio <= limit+0.1 {
		cause = words(warm.Name+" side keeps %.0f %% of the stiffness of the "+cool.Name+" side, limit %.0f %%", []float64{100 * sides.Ratio, 100 * limit})
	}
	m.alarms.SetBelow(alarm.SideSoft, sides.Ratio, limit, cause)
}
