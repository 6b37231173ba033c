package thermal

import "math"

// A vent's opening, left as it is, passes what the pressure before it drives
// through: ṁ = C p/√T ψ, with ψ = 1 while the flow is choked, and
// ψ² = 1 − ((r − b)/(1 − b))² at a pressure ratio r above the critical one, b
// (ISO 6358-1:2013, from memory; b of an ideal nozzle at k = 1.4: 0.528, NACA
// Report 1135; of valves 0.2 to 0.5). So the pressure falls the slower, the less
// of it is left: carried on as it falls now it would take the gas tens of degrees
// too cold.
const criticalRatio = 0.528

// flowShare is ψ.
func flowShare(upPa, downPa float64) float64 {
	x := max(0, (downPa/upPa-criticalRatio)/(1-criticalRatio))
	return math.Sqrt(max(0, 1-x*x))
}

const (
	ventStepShare  = 0.08 // of the pressure goes in a step of a vent
	ventFirstShare = 0.01 // … in the first, which tells the opening
)

// Vent runs the vessel forward from s at absolute pressure pPa through an opening
// at which the pressure now falls by ratePaS, and which stays as it is, until the
// vessel is empty. It leaves the sensors as they are. What does not fall is not
// vented: its coldest gas is not known.
func (m *Model) Vent(s State, p *Params, pPa, ratePaS, ambientK float64, visit Visit) Run {
	f := forecast{m: m, c: p.coefficients(), s: s, pPa: pPa, plan: Plan{AmbientK: ambientK}, visit: visit, step: step{noBead: true, noSkins: true}}
	f.run = Run{PeakK: math.Inf(-1), Peaks: Alike(math.Inf(-1)), ColdK: s.GasK, RampEndPa: pPa}
	if pPa > m.AmbientPa && !f.vent(ratePaS) {
		f.run.ColdK = math.NaN()
	}
	f.run.RampEndS, f.run.RampEndPa = f.t, f.pPa
	f.run.End, f.run.EndPa, f.run.EndS = f.s, f.pPa, f.t
	return f.run
}

// vent goes by shares of the pressure, each in the time that the gas which leaves
// with it takes through the opening. How much that is goes by the step before.
func (f *forecast) vent(ratePaS float64) (falls bool) {
	down := f.m.AmbientPa
	drives := func(pPa float64) float64 { return pPa * flowShare(pPa, down) / math.Sqrt(f.s.GasK) }
	fall := min(ventFirstShare*f.pPa, f.pPa-down)
	opening := 1 / drives(f.pPa)
	share := f.fall(fall, fall/ratePaS) // gas that leaves over pressure that goes, both as parts of what is there
	if !(share > 0) || !(ratePaS > 0) {
		return false // gas that only cools: nothing is open
	}
	opening *= share * f.run.MassKg / f.pPa * ratePaS
	for f.pPa > down && f.steps < forecastSteps {
		fall = min(ventStepShare*f.pPa, f.pPa-down)
		out := share * fall / f.pPa * f.run.MassKg
		share = f.fall(fall, out/(opening*drives(f.pPa-fall/2)))
	}
	return true
}

// fall lets the pressure fall in dtS, and tells the share.
func (f *forecast) fall(fallPa, dtS float64) (share float64) {
	flow := f.step.open(f.m, &f.s, &f.c, f.pPa, f.pPa-fallPa, f.plan.AmbientK, dtS)
	share = -flow.InKg / (flow.MassKg - flow.InKg) / (fallPa / f.pPa)
	f.pPa -= fallPa
	f.run.MassKg = flow.MassKg
	f.note(dtS, flow.DensityKgM3, 0)
	return share
}
