package bath

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
func (b *Bath) judgeTemperature(r *Result) {
	size := math.Abs(r.Offset)
	if b.reversed(r) {
		const text = "the leads are reversed: it would read right with them swapped"
		if math.Abs(r.Reference-b.coldK) >= reversedTellK {
			r.Refused, r.Do = text, "Swap the two leads at the plug or the terminal."
			return
		}
		r.Remarks = append(r.Remarks, "reversed leads would look the same so near to the cold junction: warm the probe in your hand; it must read more")
	}
	if kind, ok := b.otherType(r); ok {
		text := fmt.Sprintf("reads as a type %s thermocouple would on a channel set to %s", kind, r.Kind)
		if size > typeSureK {
			r.Refused, r.Do = text, fmt.Sprintf("Look at the plug; if it is type %s, write kind = %q in the profile.", kind, kind)
			return
		}
		r.Remarks = append(r.Remarks, text)
	}
	switch {
	case size > offsetMostK && b.cfg.Way == WayShade:
		r.Refused = fmt.Sprintf("%+.1f °C is no offset but a fault, or the probe is not beside the thermometer", r.Offset)
		r.Do = "Check the probe's place, plug and type."
	case size > offsetMostK:
		r.Refused = fmt.Sprintf("%+.1f °C is no offset but a fault, or the probe is not in the %s", r.Offset, b.cfg.Way)
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
func (b *Bath) emf(r *Result) (emf float64, ok bool) {
	c, _ := b.cfg.Profile.ChannelAt(r.Channel)
	if !c.Kind.Thermocouple() || c.Compensated || math.IsNaN(b.coldK) {
		return math.NaN(), false
	}
	hot, err := probe.EMF(c.Kind, r.Reading)
	cold, err2 := probe.EMF(c.Kind, b.coldK)
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
func (b *Bath) reversed(r *Result) bool {
	emf, ok := b.emf(r)
	if !ok || math.Abs(r.Offset) < reversedFarK {
		return false
	}
	t, err := probe.JunctionK(r.Kind, -emf, b.coldK)
	return err == nil && math.Abs(t-r.Reference) <= 0.2*math.Abs(r.Offset)
}

// otherType tells a thermocouple of another type than the profile says: its
// emf fits the reference on another type's curve.
func (b *Bath) otherType(r *Result) (vessel.Kind, bool) {
	emf, ok := b.emf(r)
	if !ok {
		return "", false
	}
	return probe.LikelyKind(r.Kind, emf, b.coldK, r.Reference)
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
	unit, scale := "°C", 1.0
	if r.Last.Pressure {
		unit, scale = "bar", 1e5
	}
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
