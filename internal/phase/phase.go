// Package phase tells from what flows what the vessel is doing: vented, filling,
// holding or venting.
package phase

import "math"

// Phase is what the vessel is doing.
type Phase uint8

// The phases.
const (
	Unknown Phase = iota
	Vented
	Filling
	Holding
	Venting
)

var names = [...]string{"unknown", "vented", "filling", "holding", "venting"}

// String is the name in JSON.
func (p Phase) String() string { return names[p] }

// Thresholds of the phases, as pressure rates of the flow at the present
// temperature, Pa/s. A cooling gas loses pressure faster than most leaks, so
// the flow decides, not the pressure alone.
const (
	perMinute    = 1e5 / 60 // 1 bar/min in Pa/s
	fillOnPaS    = 0.8 * perMinute
	fillOffPaS   = 0.4 * perMinute
	ventOnPaS    = 3.0 * perMinute
	ventOffPaS   = 1.5 * perMinute
	ventedPa     = 0.3e5
	ventedOverPa = 0.6e5 // hysteresis of vented
	noiseSigma   = 4.5   // a ramp within this many sigma of its noise is none: one in 300 000
)

// StirredS is how long gas that came in is stirred, and a bead lags behind it:
// three times 10 s, a slow bead by the handbook (3 s, two sigma).
const StirredS = 30.0

// Facts are what a phase is told by. What is not known is NaN.
type Facts struct {
	TimeS       float64 // session time
	PressurePa  float64 // gauge
	RampPaS     float64
	RampSigma   float64 // one sigma of the ramp, Pa/s
	RampWindowS float64 // over which it was taken
	FlowPaS     float64 // what flows in or out, as a pressure rate at the present temperature
	GasWarm     bool    // the gas is warmer than the wall: then it cools, and a pressure that falls says nothing of gas that leaves; a vent makes it colder
}

// Watch is what is remembered from one phase to the next.
type Watch struct {
	FilledS   float64 // session time at which gas last stopped coming in, −Inf: never
	SettledPa float64 // gauge: what that gas cools to
	emptied   ventEnd
}

// Next tells the phases apart. A phase begins when the ramp is clear of its
// noise, and goes on without that.
func (w *Watch) Next(was Phase, f Facts) Phase {
	p, ramp, flow := f.PressurePa, f.RampPaS, f.FlowPaS
	next := standing(p, was)
	if math.IsNaN(ramp) || math.IsNaN(flow) {
		// After a gap gas is taken to flow on, unless there is none.
		if was != Filling && was != Venting || p < ventedPa {
			return next
		}
		return was
	}
	noise := noiseSigma * f.RampSigma
	fillRamp, fill, ventRamp, vent := ramp-noise, fillOnPaS, ramp+noise, ventOnPaS
	switch {
	case was == Filling:
		fillRamp, fill = ramp, fillOffPaS
	case was == Venting:
		ventRamp, vent = ramp, ventOffPaS
	case was == Vented && next == Holding:
		fillRamp = ramp // no noise brings a vented vessel there
	}
	settling := f.TimeS-w.FilledS < StirredS && (was == Holding || was == Filling)
	switch {
	case fillRamp > fill && flow > math.Max(fill, 0.3*ramp):
		return Filling
	case settling && p > w.SettledPa:
		// Fast gas that was shut in cools so fast that it looks like a vent.
	case next == Holding && ventRamp < -vent && flow < -math.Max(vent, 0.5*math.Abs(ramp)):
		w.emptied = ventEnd{p, f.TimeS}
		return Venting
	case next == Holding && was == Venting && !f.GasWarm && !w.emptied.over(f.TimeS, p, ramp, noise, f.RampWindowS):
		return Venting
	}
	return next
}

// ventEnd finds the end of a vent: a vent ends when the gas has gone, not when
// it gets slow, so that only a pressure that rises (cold gas that was shut in
// warms up) or stands is one that is over.
type ventEnd struct {
	lowPa, lowS float64 // the lowest so far, and since when
}

const (
	ventStandsS = 20.0   // a pressure that has not fallen for so long stands
	ventFallsPa = 0.02e5 // less is no fall; a vent's last tenth of a bar falls faster
)

// over takes a pressure and tells whether the vent has ended.
func (e *ventEnd) over(t, pPa, rampPaS, noisePaS, windowS float64) bool {
	if pPa < e.lowPa-math.Max(ventFallsPa, noisePaS*windowS) {
		*e = ventEnd{pPa, t}
	}
	return rampPaS > noisePaS || t-e.lowS >= ventStandsS
}

// standing is the phase when nothing flows.
func standing(pPa float64, was Phase) Phase {
	vented := ventedPa
	if was == Vented {
		vented = ventedOverPa
	}
	if pPa < vented {
		return Vented
	}
	return Holding
}
