package screen

import (
	"regexp"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
)

// Texts of the monitor (reasons, causes, events) give their quantities in bar,
// bar/min and °C, as they lie in the record. tell turns them into the
// operator's units. "A ± B °C" is a temperature and a difference.
var quantities = regexp.MustCompile(`(-?\d+(?:\.\d+)?)(?: ± (\d+(?:\.\d+)?))? (bar/min|bar\b|°C)`)

// tell is a text of the monitor in the operator's units.
func tell(text string, u quantity.System) string {
	if u == quantity.SystemBarC || !strings.ContainsAny(text, "0123456789") {
		return text
	}
	return quantities.ReplaceAllStringFunc(text, func(found string) string {
		part := quantities.FindStringSubmatch(found)
		x, err := strconv.ParseFloat(part[1], 64)
		if err != nil {
			return found
		}
		band := func(number string, show func(float64) string) string {
			b, err := strconv.ParseFloat(number, 64)
			if err != nil {
				return ""
			}
			return " ± " + show(b)
		}
		switch part[3] {
		case "bar":
			return u.PressureNumber(x*1e5) + band(part[2], func(b float64) string { return u.PressureNumber(b * 1e5) }) + " " + u.PressureUnit()
		case "bar/min":
			return u.RampNumber(x*1e5/60) + band(part[2], func(b float64) string { return u.RampNumber(b * 1e5 / 60) }) + " " + u.RampUnit()
		}
		return u.TemperatureNumber(x+zeroC) + band(part[2], u.DifferenceNumber) + " " + u.TemperatureUnit()
	})
}

func (v *view) tell(text string) string { return tell(text, v.u) }
