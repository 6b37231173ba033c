package calibrate

import (
	"fmt"
	"math"

	"fillwright/internal/line"
	"fillwright/internal/quantity"
)

// Zero shifts of a pressure sensor, as shares of its full scale and in pascal
// at the most (common practice, no source). A sensor that reads more with the
// vessel "vented" has rather gas under it than a wrong zero: 0.5 bar behind a
// door of half a square metre pushes with more than two tonnes.
const (
	zeroFreeShare, zeroFreePa = 0.005, 0.5e5 // up to here the word "vented" is enough
	zeroHardShare, zeroHardPa = 0.02, 3e5    // beyond this there is no zeroing
	zeroRetypeShare           = 0.1          // how exactly the reading must be retyped
	zeroRetypePa              = 0.02e5
	spanClassShare            = 0.01 // of full scale: what a sensor may be off at span
)

// Gate says what the operator must do before a zero is taken.
type Gate uint8

// The gates. No gate opens by a single key.
const (
	GateVented Gate = iota // say that the vessel is vented
	GateRetype             // say so and retype the reading: gas may be trapped
	GateShut               // it can't be taken
)

// zeroLimits are the two borders for a full scale.
func zeroLimits(fullScalePa float64) (free, hard float64) {
	return math.Min(zeroFreeShare*fullScalePa, zeroFreePa), math.Min(zeroHardShare*fullScalePa, zeroHardPa)
}

// Gate says how far a zero may be believed, and why not at once.
func (c *Calibration) Gate(r *Result) (g Gate, why string) {
	free, hard := zeroLimits(fullScale(c.cfg.Profile))
	shift := math.Abs(r.Offset)
	before := 0.0
	if r.Last != nil {
		before = r.Last.Offset
	}
	reads := fmt.Sprintf("reads %.2f bar", r.Offset/1e5)
	switch {
	case r.Refused != "":
		return GateShut, r.Refused
	case !(shift <= hard):
		return GateShut, reads + fmt.Sprintf(", and more than %.1f bar is no wrong zero", hard/1e5)
	case shift > free:
		return GateRetype, reads + ": GAS MAY BE TRAPPED; vent it, see a second gauge"
	case math.Abs(r.Offset-before) > free/2 && r.Last != nil:
		return GateRetype, reads + fmt.Sprintf(", %.2f bar more than the last zero: GAS MAY BE TRAPPED", (r.Offset-before)/1e5)
	}
	return GateVented, ""
}

// PassZero opens the gate for a zero, or says what is missing. Vented is the
// operator's word that the vessel is vented; retyped is what was typed of the
// reading, "" for nothing.
func (c *Calibration) PassZero(r *Result, vented bool, retyped string) error {
	g, why := c.Gate(r)
	if g == GateShut {
		return fmt.Errorf("the zero is not taken: %s", why)
	}
	if !vented {
		return fmt.Errorf("the zero is not taken: nobody has said that the vessel is vented")
	}
	if g == GateVented {
		return nil
	}
	if retyped == "" {
		return fmt.Errorf("the zero is not taken: %s; if it is vented all the same, retype the reading with its unit", why)
	}
	p, err := quantity.ParsePressure(retyped)
	if err != nil {
		return err
	}
	if math.Abs(float64(p)-r.Offset) > math.Max(zeroRetypeShare*math.Abs(r.Offset), zeroRetypePa) {
		return fmt.Errorf("the zero is not taken: %q was typed, but the sensor reads %.2f bar", retyped, r.Offset/1e5)
	}
	return nil
}

// judgeZero refuses an absurd zero.
func (c *Calibration) judgeZero(r *Result, h *held) {
	_, hard := zeroLimits(fullScale(c.cfg.Profile))
	d := h.rest.drift
	moving := math.Abs(d.Slope)*60 > 3e-4*fullScale(c.cfg.Profile) && math.Abs(d.Slope) > 3*d.SSlope
	switch {
	case !(math.Abs(r.Offset) <= hard):
		r.Refused, r.Do = underPressure(r.Offset)
	case moving:
		r.Refused = fmt.Sprintf("the pressure still moves, %+.3f bar a minute: gas is trapped or flows", 60*d.Slope/1e5)
		r.Do = "Open the vent and wait until nothing moves."
	default:
		r.changeRemark()
	}
}

// A zero is not waited for where the pressure moves for everybody to see, or
// stands far above one: so many one-second means, and so many times the drift
// that counts as rest (our own choice). What moves more slowly is left to the
// usual patience.
const (
	movingBlocks = 6
	movingTimes  = 5
)

// refuseAtOnce gives a pressure sensor up when it can't be at zero.
func (c *Calibration) refuseAtOnce(h *held) {
	n := len(h.rest.t)
	if n < movingBlocks || h.rest.state == StateDone || h.rest.state == StateGaveUp {
		return
	}
	t, y := h.rest.t[n-movingBlocks:], h.rest.y[n-movingBlocks:]
	l := line.Fit(t, y, t[movingBlocks-1])
	_, hard := zeroLimits(fullScale(c.cfg.Profile))
	switch {
	case 60*(math.Abs(l.Slope)-3*l.SSlope) > movingTimes*c.limits.Drift:
		h.refused = fmt.Sprintf("the pressure moves, %+.1f bar a minute: gas flows, and the vessel is not vented", 60*l.Slope/1e5)
		h.do = "Vent it, wait until nothing moves, and begin anew."
	case l.Y0-3*l.SY0 > hard:
		h.refused, h.do = underPressure(l.Y0)
	default:
		return
	}
	h.rest.state = StateGaveUp
}

func underPressure(pa float64) (why, do string) {
	return fmt.Sprintf("%.2f bar is no wrong zero: THE VESSEL IS UNDER PRESSURE, or the sensor is broken", pa/1e5),
		"Vent it, look at a second gauge; if that reads zero, replace the sensor."
}

// judgeSpan compares with a reference gauge. The zero in force is taken off
// first; a check corrects nothing.
func (c *Calibration) judgeSpan(r *Result) {
	off := r.Offset
	if r.Last != nil {
		off -= r.Last.Excess(r.Reading)
	} else {
		r.Remarks = append(r.Remarks, "no zero is in force: zero the sensor first, else zero and span are mixed up")
	}
	allowed := math.Hypot(r.U, spanClassShare*fullScale(c.cfg.Profile))
	text := fmt.Sprintf("sensor less gauge %+.2f bar, of which sensor and gauge explain ± %.2f", off/1e5, allowed/1e5)
	if math.Abs(off) > allowed {
		r.Refused = text + ": one of the two is wrong"
		r.Do = "Take a third gauge; fill nothing until two agree."
		return
	}
	r.Remarks = append(r.Remarks, text+": they agree")
}
