package lines

import (
	"math"
	"strings"

	"fillwright/internal/bend"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
)

// PlainLine is a Snapshot as one line of plain text without control
// characters: what to do first, then how close, then where. Values that are old
// say so in words.
func PlainLine(s monitor.Snapshot, u quantity.System) string {
	t := headline.Told{Now: &s, AgeS: s.Link.AgeS, Units: u}
	parts := []string{headline.Clock(math.Max(s.TimeS, 0)) + " " + t.Order(),
		strings.TrimRight(canvas.Clean(t.Why(), false), ". "), s.Phase.String()}
	if t.Stale() && t.Started() {
		parts = append(parts, "values are old, "+headline.AgeText(t.AgeS))
	}
	pressure := u.Pressure(s.PressurePa)
	if why := headline.SensorTrouble(s.Sensors, vessel.RolePressure); why != "" {
		pressure = "-- (" + why + ")"
	}
	open, why := t.MayStayOpen()
	if open == headline.AtOnce {
		open = "shut " + open
	} else {
		open = "shut in " + open
	}
	margin := headline.Margin(u, s.MarginK)
	if margin != quantity.Unknown {
		margin += " " + u.TemperatureUnit()
	}
	parts = append(parts, "margin "+margin, strings.TrimSpace(open+" "+why),
		"pressure "+pressure+" of "+u.Pressure(s.TargetPa), "ramp "+u.Ramp(s.RampPaS), "hottest "+hottest(&s, u),
		strings.TrimSpace("gas "+u.Temperature(s.GasK)+" "+headline.Inferred(&s)))
	if s.Sides.Known {
		parts = append(parts, bend.Line(canvas.Clean(s.Sides.Warm.Name, false), s.Sides.Bow))
	}
	if ill := ill(&s); ill != "" {
		parts = append(parts, "sensors not good: "+ill)
	}
	return strings.Join(parts, "; ")
}

// hottest names the hottest station with its temperature and band.
func hottest(s *monitor.Snapshot, u quantity.System) string {
	text := u.Temperature(s.HottestK)
	if text == quantity.Unknown {
		return text
	}
	text += " ±" + u.DifferenceNumber(s.BandK)
	if s.Hottest >= 0 && s.Hottest < len(s.Stations) {
		text += " " + canvas.Clean(s.Stations[s.Hottest].Name, false)
	}
	return text
}

func ill(s *monitor.Snapshot) string {
	var names []string
	for i := range s.Sensors {
		if r := &s.Sensors[i]; r.Health != probe.HealthGood {
			names = append(names, headline.SensorName(r)+" "+headline.HealthText(r.Health))
		}
	}
	return canvas.Clean(strings.Join(names, ", "), false)
}
