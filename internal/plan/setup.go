package plan

import (
	"math"

	"fillwright/internal/estimate"
	"fillwright/internal/gas"
	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/weather"
)

// Setup is everything that a plan is made of.
type Setup struct {
	Vessel *vessel.Profile
	Model  *wallmodel.Learned // nil: handbook values
	Day    Day
	OnsetK float64

	widenBy float64 // the band, outside of what the model has seen; 0: 1
}

// NewSetup is a vessel on a day; what the day does not say of the fill is the
// profile's.
func NewSetup(v *vessel.Profile, model *wallmodel.Learned, d Day) Setup {
	if model == nil {
		model = wallmodel.HandbookFor(v)
	}
	if !d.Absorptance.Said {
		for i := range v.Stations {
			if a := v.Stations[i].Absorptance; a >= 0 {
				d.SayAbsorptance(a)
				break
			}
		}
	}
	if len(d.AirDay) > 0 && !d.Air.Said && !math.IsNaN(d.Hour) {
		d.SayAir(d.airDayK(d.Hour))
	}
	d.TargetPa = or(d.TargetPa, float64(v.Fill.Target))
	d.HoldS = or(d.HoldS, float64(v.Fill.Hold))
	d.WaterM3 = or(d.WaterM3, float64(v.Water))
	return Setup{Vessel: v, Model: model, Day: d, OnsetK: float64(v.Resin.Onset)}
}

// goalK is what the wall's bound must stay under.
func (s *Setup) goalK() float64 { return s.OnsetK - float64(s.Vessel.Limits.Reserve) }

// pad is the vessel on its pad.
func (s *Setup) pad(d *Day) weather.Pad {
	v := s.Vessel
	p := weather.Pad{
		AirK: d.Air.Value, AirPa: float64(v.AmbientPressure), WindMS: d.Wind.Value, Absorptance: d.Absorptance.Value,
		DiameterM: float64(v.InnerDiameter + 2*v.Wall.Thickness), SquareOn: true,
		Pose: weather.Pose{Standing: v.Attitude == vessel.AttitudeStanding, HeadingRad: d.Heading},
	}
	switch d.Light {
	case LightShade:
		p.Light, p.Covered = weather.Sunlight{DiffuseWM2: math.Max(0, d.SunWM2.Value)}, true
	case LightClear:
		p.Sun = d.Sun()
		p.Light, p.SquareOn = p.Sun.Clear(p.AirPa), false
		p.Light.BeamWM2 *= d.SunWM2.Value
		p.Light.DiffuseWM2 *= d.SunWM2.Value
	default:
		p.Light = weather.Measured(math.Max(0, d.SunWM2.Value))
	}
	return p
}

// learnedOutside says that fills know the outside coefficient better than a guess
// at the wind.
func (s *Setup) learnedOutside(d *Day) bool { return !s.Model.IsHandbook() && !d.Wind.Said }

// vesselOn is the profile with the day's water.
func (s *Setup) vesselOn() *vessel.Profile {
	v := *s.Vessel
	if by := s.Day.WaterM3 - float64(v.Water); by != 0 {
		v.Water += quantity.Volume(by)
	}
	return &v
}

// sensorsOnly are parameters of sensors, of which a plan has none. Each would cost
// a forecast wherever a direction is taken.
var sensorsOnly = [...]int{thermal.ParLnBead, thermal.ParLnSkin, thermal.ParStem, thermal.ParHand}

// estimate is what is known of the vessel before the first gas.
func (s *Setup) estimate(causes []cause) *thermal.Estimate {
	d, v := &s.Day, s.vesselOn()
	st := s.start(d)
	cov := s.Model.DayCov()
	for _, par := range sensorsOnly {
		for j := range cov {
			cov[par][j], cov[j][par] = 0, 0
		}
	}
	obs := estimate.New(estimate.Config{
		Model: thermal.NewModel(v, gas.Table(v.Gas), s.Model.Variant.Cells), Params: s.Model.Params, ParCov: cov,
		Inlet: s.Model.Inlet, Bias: s.Model.Bias, DiscrepancyK: s.Model.DiscrepancyK,
	})
	obs.Feed(s.supply())
	obs.Start(st.airK, st.airK, float64(v.AmbientPressure), false)
	b := obs.Estimate()
	b.BandFactor = math.Max(s.widenBy, 1)
	if sigma := s.inflowSigmaK(); sigma > 0 {
		scale(b, thermal.ParInflow, sigma)
	}
	if s.Model.IsHandbook() { // no more of the far end than all of it
		scale(b, thermal.ParFar, 0.5*(thermal.Unmixed(v)-b.Params[thermal.ParFar]))
	}
	b.Params[thermal.ParLnOutside] = math.Log(st.gains.OutsideWM2K)
	b.Params[thermal.ParInflow] -= d.ColderK
	if s.Model.IsHandbook() && !(v.SunShare() > 0) {
		b.Params[thermal.ParSunShare] = st.litMean
	}
	set := func(side int, outK, wallK float64) {
		b.State.OutK[side] = outK
		for j := range b.Layout.Cells {
			b.State.Wall[side][j] = wallK
		}
	}
	set(thermal.SideSun, st.outSunK, st.wallSunK)
	set(thermal.SideShade, st.outShadeK, st.wallShadeK)
	s.doubt(b, &st, causes)
	read(b, thermal.SideSun, d.WallSunK)
	read(b, thermal.SideShade, d.WallShadeK)
	for side, again := range d.Reread {
		if again {
			narrow(b, b.Layout.AtWall(side, b.Layout.Cells-1))
		}
	}
	return b
}

// What a supply whose pressure was said leaves in doubt of its gas, one sigma: how much
// of the throttle's cold comes through half a metre to four metres of hose, any length as
// likely by its logarithm, and hose and cylinder themselves, cool from a store or warm
// from the sun (common practice, no source). Each metre leaves a tenth (see supply), so
// that the shares have a mean of 0.08 and scatter by 0.09. The handbook's 10 K stand for
// any supply.
const (
	throttleShareSigma = 0.10
	hoseSigmaK         = 4.0
)

// inflowSigmaK is one sigma of the inflow's temperature under the handbook, where the
// supply's pressure was said; 0 where not.
func (s *Setup) inflowSigmaK() float64 {
	if !s.Model.IsHandbook() || s.Day.SupplyK > 0 || !(s.Day.SupplyPa > 0) {
		return 0
	}
	return math.Hypot(hoseSigmaK, throttleShareSigma*(s.Day.Air.Value-s.throttledK()))
}

// supply is what the model is told of the gas that comes in. The cold of the
// throttle counts only where fills showed what the hose leaves of it: 5 g/s through
// 5 mm take up 0.9 of what they lack to the hose in each metre (Nu = 0.023 Re^0.8
// Pr^0.4, Dittus & Boelter, from memory), and to count on cold gas that comes warm
// would be a ramp too fast.
func (s *Setup) supply() thermal.Supply {
	var out thermal.Supply
	if s.Day.SupplyK > 0 {
		out.TempK = s.Day.SupplyK
	}
	if s.Day.SupplyPa > 0 && !s.Model.IsHandbook() {
		out.PressurePa = s.Day.SupplyPa + float64(s.Vessel.AmbientPressure)
	}
	return out
}
