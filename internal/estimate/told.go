package estimate

import "math"

// Block is the last complete block.
func (t *Tracker) Block() *Block { return &t.block.out }

// Ramp is that of the gauge pressure over the last RampS.
func (t *Tracker) Ramp() Line { return t.ramp }

// FlowPaS is what flows, as a pressure rate at the present temperature. With
// no thermometer yet the pressure has to do.
func (t *Tracker) FlowPaS() float64 {
	if !t.Started() {
		return t.ramp.PaS
	}
	return t.mass.line(massS).PaS / t.Flow().MassKg * t.Flow().PressurePa
}

// Noise is that of the blocks, one sigma: of the pressure and of the gas probe.
func (t *Tracker) Noise() (pressurePa, beadK float64) {
	return t.pressure.noise.sigma(), t.bead.noise.sigma()
}

// AmbientK is the best that is known of the air around, 0: nothing.
func (t *Tracker) AmbientK() float64 { return t.last.ambientK }

// AgeS is by how much the estimate lies behind the last block.
func (t *Tracker) AgeS() float64 { return t.block.out.TimeS - t.last.timeS }

// AbsolutePa is the absolute pressure of a gauge one.
func (t *Tracker) AbsolutePa(gaugePa float64) float64 {
	return math.Max(gaugePa+t.ambientPa, ambientLeastShare*t.ambientPa)
}

// ambientLeastShare: no vessel is emptier.
const ambientLeastShare = 0.3

// Read takes a hand-held reading in, see CorrectSurface; number is its own in the
// recording.
func (t *Tracker) Read(number, place int, surfaceK, timeS float64) Use {
	t.undo.mark(number, t.Clone())
	return t.CorrectSurface(place, surfaceK, timeS)
}

// TakeBack makes the estimate what it were without a reading; ok is false when it
// is not the newest that the estimate has in it, and nothing changes. see is shown
// the way there, from where the reading was on.
func (t *Tracker) TakeBack(number int, see func(f *Filter)) (ok bool) {
	before, ok := t.undo.pop(number, see)
	if ok {
		t.Filter = before
	}
	return ok
}
