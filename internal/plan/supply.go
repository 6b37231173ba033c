package plan

import (
	"math"

	"fillwright/internal/gas"
	"fillwright/internal/thermal"
)

// Supply is whether the supply cylinder can fill the vessel, and how cold its gas
// comes.
type Supply struct {
	Known      bool // pressure and volume were said
	Enough     bool
	EndPa      float64 // in the cylinder after the fill, if its gas takes no heat from it
	EndWarmPa  float64 // and once it has warmed again
	GasK       float64 // that left in the cylinder, if it takes no heat
	ThrottledK float64 // as it comes at the start, before the hose warms it
}

// roomShare is what the cylinder must keep over the target: a valve that still
// passes gas. Common practice, no source.
const roomShare = 1.03

// supplies works out a supply that gives the vessel filledKg in all.
func (s *Setup) supplies(filledKg float64) Supply {
	d := &s.Day
	ambient := float64(s.Vessel.AmbientPressure)
	nan := math.NaN()
	u := Supply{EndPa: nan, EndWarmPa: nan, GasK: nan, ThrottledK: nan}
	f := gas.Table(s.Vessel.Gas)
	if d.SupplyPa > 0 {
		u.ThrottledK = s.throttledK()
	}
	if !(d.SupplyPa > 0 && d.SupplyM3 > 0) {
		return u
	}
	u.Known = true
	t, rho := d.Air.Value, f.DensityKgM3(d.Air.Value, d.SupplyPa+ambient)
	v := s.vesselOn()
	taken := filledKg - v.GasVolumeM3()*f.DensityKgM3(t, ambient)
	end := rho - taken/d.SupplyM3
	if !(end > 0) {
		u.EndPa, u.EndWarmPa = 0, 0
		return u
	}
	u.EndWarmPa = f.PressurePa(t, end) - ambient
	u.GasK = expandedK(f, t, rho, end)
	u.EndPa = math.Max(0, f.PressurePa(u.GasK, end)-ambient)
	u.Enough = u.EndPa >= roomShare*d.TargetPa
	return u
}

// throttledK is how cold the supply's gas comes into the empty vessel, before the
// hose warms it.
func (s *Setup) throttledK() float64 {
	d, ambient := &s.Day, float64(s.Vessel.AmbientPressure)
	m := thermal.NewModel(s.vesselOn(), gas.Table(s.Vessel.Gas), 1)
	st := m.Uniform(d.Air.Value)
	st.Supply = thermal.Supply{PressurePa: d.SupplyPa + ambient}
	return m.InletK(&st, ambient, d.Air.Value)
}

// expandedK is the temperature of gas that expands without heat from one density
// to another: dT/dρ = T (∂p/∂T)_ρ/(ρ² c_v), constant entropy (any thermodynamics
// text), by the midpoint rule.
func expandedK(f thermal.Fluid, tempK, fromKgM3, toKgM3 float64) float64 {
	const steps, nudgeK = 60, 0.5
	slope := func(t, rho float64) float64 { // by ln ρ
		rise := (f.PressurePa(t+nudgeK, rho) - f.PressurePa(t-nudgeK, rho)) / (2 * nudgeK)
		return t * rise / (rho * f.CvJKgK(t, rho))
	}
	ratio := math.Log(toKgM3/fromKgM3) / steps
	lnRho := math.Log(fromKgM3)
	for range steps {
		mid := tempK + 0.5*ratio*slope(tempK, math.Exp(lnRho))
		tempK += ratio * slope(mid, math.Exp(lnRho+0.5*ratio))
		lnRho += ratio
	}
	return tempK
}

// Tested is what a cold hydrostatic test covered.
type Tested struct {
	Known    bool
	Pa, K    float64 // pressure, and the wall at it
	MarginK  float64 // onset less that wall
	TargetPa float64
	WallK    float64 // the wall's bound on this day
	Over     bool    // the test's pressure was over the target
}

func (s *Setup) tested(a *Answer) Tested {
	d := &s.Day
	if !(d.TestedPa > 0 && d.TestedK > 0) {
		return Tested{}
	}
	return Tested{Known: true, Pa: d.TestedPa, K: d.TestedK, MarginK: s.OnsetK - d.TestedK, TargetPa: d.TargetPa,
		WallK: a.Peak.K + a.Peak.BandK, Over: d.TestedPa >= d.TargetPa}
}
