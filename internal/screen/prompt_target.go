package screen

import (
	"fmt"
	"math"

	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// targetEntry checks a new target pressure. A wrong one gives a hint and no
// entry; one above the profile's is asked for twice, for a slip there lets the
// advice go on where it was meant to end.
func (p *prompt) targetEntry(u quantity.System, v *vessel.Profile) (wire.Entry, bool) {
	limit, planned := float64(v.Limits.Pressure), float64(v.Fill.Target)
	example := u.PressureNumber(planned)
	target, err := u.ParsePressure(p.text)
	pa := float64(target)
	switch {
	case err != nil && wrongOf(err) != "":
		p.hint = quoted(p.text) + wrongOf(err) + ". Esc leaves."
	case err != nil:
		p.hint = "Type the target in " + u.PressureUnit() + ", such as " + example + ", then enter. Esc leaves."
	case !(pa > 0) || pa > limit:
		p.hint = fmt.Sprintf("Above 0 and at most %s, the vessel's limit. Esc leaves.", u.Pressure(limit))
	case pa > planned && p.doubt != p.text:
		p.doubt = p.text
		p.hint = "That is above the profile's target, " + u.Pressure(planned) + ". Enter again if it is meant."
	default:
		return wire.Entry{Kind: wire.EntryTarget, Value: int32(math.Round(pa))}, true
	}
	return wire.Entry{}, false
}
