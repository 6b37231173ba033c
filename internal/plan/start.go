package plan

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/weather"
)

// places are temperatures, or differences of them, K: the air, what the outside
// comes to, and where the wall stands before the first gas.
type places struct{ airK, outSunK, outShadeK, wallSunK, wallShadeK float64 }

// plus is p + by·q.
func (p places) plus(by float64, q places) places {
	return places{p.airK + by*q.airK, p.outSunK + by*q.outSunK, p.outShadeK + by*q.outShadeK, p.wallSunK + by*q.wallSunK, p.wallShadeK + by*q.wallShadeK}
}

// start is the vessel before the first gas, as the day has it.
type start struct {
	places
	litMean    float64       // share of the lit part that all of the wall has, on the mean
	gains      weather.Gains // over the air, of each place by itself
	aroundWM2K float64       // conduction from one to the next
}

// start is found with one outside coefficient for all: the pad's, or the learned
// one where nobody said what the wind is.
func (s *Setup) start(d *Day) start {
	pad := s.pad(d)
	g := pad.Gains()
	if s.learnedOutside(d) {
		h := math.Exp(s.Model.Params[thermal.ParLnOutside])
		g.ShadeK, g.LitK, g.OutsideWM2K = g.ShadeK*g.OutsideWM2K/h, g.LitK*g.OutsideWM2K/h, h
	}
	around := s.aroundWM2K(d)
	if l := s.Model.Gains; l != nil && d.Light == LightUnsaid {
		g.ShadeK, g.LitK, around = l.Shade.MeanK, l.Lit.MeanK, 0 // as fills showed them, conduction and all
	}
	if d.WrapKgM2 > 0 {
		w := pad.Wrapped(d.Humidity.Value)
		g.ShadeK, g.LitK, g.OutsideWM2K = w.ShadeK, w.SunK-w.ShadeK, w.OutsideWM2K
	}
	return s.settled(d, g, around)
}

// windier is where a start goes when the outside takes e^by times as much: the outsides
// come nearer to the air, and the wall sooner to them.
func (s *Setup) windier(st *start, by float64) places {
	g := st.gains
	g.ShadeK, g.LitK, g.OutsideWM2K = g.ShadeK*math.Exp(-by), g.LitK*math.Exp(-by), g.OutsideWM2K*math.Exp(by)
	return s.settled(&s.Day, g, st.aroundWM2K).places
}

// settled is what gains make of outsides and wall. Conduction round the wall takes from
// the sunniest line the less the more goes to both sides of it: for the outsides under
// the gas of a full vessel, since that is what they are for, for the wall before the
// fill under the little that a vented one holds, which also takes from the warm side and
// gives to the cool one. The wall has gone 1 − e^(−t/τ) of the way, τ = ρ c t/h_o (the
// lag of a thin wall, Incropera & DeWitt).
func (s *Setup) settled(d *Day, g weather.Gains, aroundWM2K float64) start {
	ambient := float64(s.Vessel.AmbientPressure)
	film := func(gaugePa, diffK float64) float64 {
		return s.Model.Params.Film((ambient+gaugePa)/(airGasConstant*d.Air.Value), diffK, 0)
	}
	out := g.Evened(aroundWM2K / (g.OutsideWM2K + film(d.TargetPa, thermal.BuoyancyRefK)))
	vented := film(0, 0.5*g.LitK)
	wall := g.Evened(aroundWM2K / (g.OutsideWM2K + vented))
	keeps := g.OutsideWM2K / (g.OutsideWM2K + vented)
	meanK, gone := wall.ShadeK+wall.LitMean*wall.LitK, -math.Expm1(-d.StandS.Value*g.OutsideWM2K/s.Vessel.WallAreaHeatJM2K())
	air := func(overK float64) float64 { return d.Air.Value + overK }
	stands := func(overK float64) float64 { return air(gone * (meanK + keeps*(overK-meanK))) }
	return start{
		places:  places{d.Air.Value, air(out.ShadeK + out.LitK), air(out.ShadeK), stands(wall.ShadeK+wall.LitK) + d.LeftK, stands(wall.ShadeK)},
		litMean: out.LitMean, gains: g, aroundWM2K: aroundWM2K,
	}
}

// airGasConstant is of air, J/(kg K) (ISO 2533), and near enough to nitrogen's for a
// film.
const airGasConstant = 287.05

// Conduction round a wall. Along carbon fibre in epoxy it is 4 to 10 W/mK, typically 6,
// across 0.4 to 1 (handbook range, from memory): at the netting angle of 54.7° from the
// axis, by k₁ sin² + k₂ cos², 4 and a third more or less. A wall is of carbon by its
// density, 1480 to 1620 kg/m³ (from memory; glass: about 1900). Any other is taken to
// conduct round as it does through, which makes its sunny side no cooler than it is.
const (
	carbonAroundWMK                 = 4.0
	carbonLeastKgM3, carbonMostKgM3 = 1450.0, 1700.0
)

// aroundWM2K is k t/r² of the wall.
func (s *Setup) aroundWM2K(d *Day) float64 {
	w := &s.Vessel.Wall
	k, r := w.ConductivityWMK, 0.5*float64(s.Vessel.InnerDiameter+w.Thickness)
	if w.DensityKgM3 >= carbonLeastKgM3 && w.DensityKgM3 <= carbonMostKgM3 {
		k = carbonAroundWMK
	}
	return d.Around.Value * k * float64(w.Thickness) / (r * r)
}
