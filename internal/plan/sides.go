package plan

import (
	"math"

	"fillwright/internal/bend"
	"fillwright/internal/thermal"
)

// Sides tells in one line what the warm side does to the tube when the wall is
// hottest; "" where the profile has no plies.
func (s *Setup) Sides(a *Answer) string {
	layup, ok := bend.AsBuilt(s.Vessel)
	if !ok || len(a.Path) == 0 || math.IsNaN(a.Peak.K) {
		return ""
	}
	q := newSearch(s, s.causes())
	var m bend.Moment
	hottest := math.Inf(-1)
	st, par := q.b.State, q.b.Params
	model := q.b.Model
	q.run(&st, &par, a.way, func(inS, pa, hot float64, st *thermal.State) {
		if !(hot > hottest) {
			return
		}
		hottest = hot
		rho := model.Fluid.DensityKgM3(st.GasK, pa)
		place := func(name string, side int, band float64) bend.Place {
			at := model.SideAt(st, &par, side, rho, 0)
			return bend.Place{Name: name, InnerK: at.InnerK, OuterK: at.OuterK, BandK: band}
		}
		m = bend.Moment{TimeS: math.NaN(), PressurePa: pa - model.AmbientPa,
			Warm: place("sunny", thermal.SideSun, a.Peak.BandK), Cool: place("shaded", thermal.SideShade, 0)}
	})
	return bend.Line("sunny", layup.Tube.Bow(m.State()))
}
