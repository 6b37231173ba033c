package calibrate

import (
	"fmt"
	"math"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// What an offset may be at the most; beyond, it is a fault and no offset
// (common practice, no source). A cheap meter may be 6 K off on one probe.
const (
	offsetMostK = 12.0
	typeSureK   = 8.0 // beyond this, a reading that fits another type is refused
	uMostK      = 2.0
	changeMostK = 2.0 // since the last time
)

// judgeTemperature refuses what is absurd and remarks what is odd.
func (c *Calibration) judgeTemperature(r *Result) {
	size := math.Abs(r.Offset)
	if c.reversed(r) {
		const text = "the leads are reversed: it would read right with them swapped"
		if math.Abs(r.Reference-c.coldK) >= reversedTellK {
			r.Refused, r.Do = text, "Swap the two leads at the plug or the terminal."
			return
		}
		r.Remarks = append(r.Remarks, "reversed leads would look the same so near to the cold junction: warm the probe in your hand; it must read more")
	}
	if kind, ok := c.otherType(r); ok {
		text := fmt.Sprintf("reads as a type %s thermocouple would on a channel set to %s", kind, r.Kind)
		if size > typeSureK {
			r.Refused, r.Do = text, fmt.Sprintf("Look at the plug; if it is type %s, write kind = %q in the profile.", kind, kind)
			return
		}
		r.Remarks = append(r.Remarks, text)
	}
	switch {
	case size > offsetMostK:
		place := "in the " + c.cfg.Method.String()
		if c.cfg.Method == MethodShade {
			place = "beside the thermometer"
		}
		r.Refused = fmt.Sprintf("%+.1f °C is no offset but a fault, or the probe is not %s", r.Offset, place)
		r.Do = "Check the probe's place, plug and type."
	case !(r.U <= uMostK):
		r.Refused = fmt.Sprintf("known only within ± %.1f °C, worth nothing", r.U)
		r.Do = "Use a better reference and wait for rest."
	}
	if r.Refused != "" {
		return
	}
	r.classRemark()
	r.changeRemark()
	if size <= r.U {
		r.Remarks = append(r.Remarks, "within its uncertainty of none at all")
	}
}

// emf is the voltage that the meter must have seen for the mean reading.
func (c *Calibration) emf(r *Result) (emf float64, ok bool) {
	ch, _ := c.cfg.Profile.ChannelAt(r.Channel)
	if !ch.Kind.Thermocouple() || ch.Compensated || math.IsNaN(c.coldK) {
		return math.NaN(), false
	}
	hot, err := probe.EMF(ch.Kind, r.Reading)
	cold, err2 := probe.EMF(ch.Kind, c.coldK)
	return hot - cold, err == nil && err2 == nil
}

// A reversed probe must be off by so much to be told from others, and the
// reference must lie so far from the cold junction that no plain offset looks
// the same.
const (
	reversedFarK  = 4.0
	reversedTellK = 8.0
)

// reversed tells swapped leads: the reading lies as far on the other side of
// the cold junction as the reference does on this one.
func (c *Calibration) reversed(r *Result) bool {
	emf, ok := c.emf(r)
	if !ok || math.Abs(r.Offset) < reversedFarK {
		return false
	}
	t, err := probe.JunctionK(r.Kind, -emf, c.coldK)
	return err == nil && math.Abs(t-r.Reference) <= 0.2*math.Abs(r.Offset)
}

// otherType tells a thermocouple of another type than the profile says: its
// emf fits the reference on another type's curve.
func (c *Calibration) otherType(r *Result) (vessel.Kind, bool) {
	emf, ok := c.emf(r)
	if !ok {
		return "", false
	}
	return probe.LikelyKind(r.Kind, emf, c.coldK, r.Reference)
}

// classRemark compares with the tolerance classes of IEC 60584-1.
func (r *Result) classRemark() {
	if !r.Kind.Thermocouple() {
		return
	}
	first, err1 := probe.Tolerance(r.Kind, r.Reference, 1)
	second, err2 := probe.Tolerance(r.Kind, r.Reference, 2)
	switch {
	case err1 != nil || err2 != nil:
		return
	case math.Abs(r.Offset) <= first:
		r.Remarks = append(r.Remarks, fmt.Sprintf("within class 1 of IEC 60584 (± %.1f °C)", first))
	case math.Abs(r.Offset) <= second:
		r.Remarks = append(r.Remarks, fmt.Sprintf("within class 2 of IEC 60584 (± %.1f °C)", second))
	default:
		r.Remarks = append(r.Remarks, fmt.Sprintf("outside class 2 of IEC 60584 (± %.1f °C): meter, plug or wire", second))
	}
}

// changeRemark compares with the last time.
func (r *Result) changeRemark() {
	if r.Last == nil || r.Last.Pressure != r.Kind.Pressure() {
		return
	}
	unit, scale := UnitOf(r.Last.Pressure)
	was := r.Last.Excess(r.Reading)
	change := r.Offset - was
	both := math.Hypot(r.U, or(r.Last.Uncertainty, r.U))
	since := r.Last.Date
	if since == "" {
		since = "last time"
	}
	text := fmt.Sprintf("%+.2f %s against %s", change/scale, unit, since)
	switch {
	case math.Abs(change) <= both:
		text += ": no change within the uncertainties"
	case !r.Last.Pressure && math.Abs(change) > changeMostK:
		text += ": a great change; look for its cause before you trust the probe"
	default:
		text += ": more than both uncertainties"
	}
	r.Remarks = append(r.Remarks, text)
}
