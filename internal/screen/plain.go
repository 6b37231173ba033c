package screen

import (
	"math"
	"slices"
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/bend"
	"fillwright/internal/monitor"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// PlainLine is a Snapshot as one line of plain text without control
// characters, for a pipe, a log or a screen reader: what to do first, then how
// close, then where. Values that are old say so in words.
func PlainLine(s monitor.Snapshot, u quantity.System) string {
	v := view{now: &s, shown: &s, ageS: s.Link.AgeS, g: canvas.GlyphsFor(false), u: u}
	word := v.word()
	parts := []string{clock(math.Max(s.TimeS, 0)) + " " + strings.TrimSpace(word.big+" "+word.tail)}
	if rate := strings.Join(strings.Fields(v.rate()), " "); rate != "" {
		parts[0] += " " + rate
	}
	parts = append(parts, strings.TrimRight(v.clean(v.why()), ". "), s.Phase.String())
	if v.stale() && v.started() {
		parts = append(parts, "values are old, "+ageText(v.ageS))
	}
	pressure := u.Pressure(s.PressurePa)
	if why := sensorTrouble(s.Sensors, vessel.RolePressure, ""); why != "" {
		pressure = "-- (" + why + ")"
	}
	open, why := v.mayStayOpen()
	if open == now {
		open = "shut " + now
	} else {
		open = "shut in " + open
	}
	parts = append(parts,
		"margin "+plainMargin(u, s.MarginK),
		strings.TrimSpace(open+" "+why),
		"pressure "+pressure+" of "+u.Pressure(s.TargetPa),
		"ramp "+u.Ramp(s.RampPaS),
		"hottest "+plainHottest(&s, u),
		strings.TrimSpace("gas "+u.Temperature(s.GasK)+" "+v.inferred()))
	if s.Sides.Known {
		parts = append(parts, bend.Line(canvas.Clean(s.Sides.Warm.Name, false), s.Sides.Bow))
	}
	if ill := plainIll(&s); ill != "" {
		parts = append(parts, "sensors not good: "+ill)
	}
	return strings.Join(parts, "; ")
}

func plainMargin(u quantity.System, k float64) string {
	n := marginNumber(u, k)
	if n == quantity.Unknown {
		return n
	}
	return n + " " + u.TemperatureUnit()
}

// plainHottest names the hottest station with its temperature and band.
func plainHottest(s *monitor.Snapshot, u quantity.System) string {
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

func plainIll(s *monitor.Snapshot) string {
	var names []string
	for i := range s.Sensors {
		if r := &s.Sensors[i]; r.Health != probe.HealthGood {
			names = append(names, sensorName(r)+" "+healthText(r.Health))
		}
	}
	return canvas.Clean(strings.Join(names, ", "), false)
}

// PlainAlarm is an alarm as a line of its own.
func PlainAlarm(a alarm.Active, u quantity.System) string {
	state := ""
	if int(a.State) < len(stateWords) {
		state = " " + stateWords[a.State]
	}
	when := " since " + clock(math.Max(a.SinceS, 0))
	if !a.Present() && a.Name != alarm.Reminder {
		when = " " + whenText(&a)
	}
	line := "ALARM " + strings.ToUpper(a.Level.String()) + state + when + ", " + a.Name + ": " + wording.Sentence(a.Cause.In(u), a.Name)
	if a.Do != "" {
		line += " " + a.Do
	}
	return canvas.Clean(line, false)
}

// PlainAlarms is a line for each alarm that came, changed its level or state,
// or went, from one Snapshot to a later one.
func PlainAlarms(before, after *monitor.Snapshot, u quantity.System) []string {
	var out []string
	for i := range after.Alarms {
		if a := &after.Alarms[i]; !hadAlarm(before, a) {
			out = append(out, PlainAlarm(*a, u))
		}
	}
	for i := range before.Alarms {
		if a := &before.Alarms[i]; !named(after.Alarms, a.Name) && !hidden(after.Alarms, a.Name) {
			out = append(out, "ALARM ended, "+canvas.Clean(a.Name, false))
		}
	}
	return out
}

// hidden says whether an alarm stands on while another tells its story louder.
func hidden(all []alarm.Active, name string) bool {
	return slices.ContainsFunc(definitionsByName[name].HiddenBy, func(by string) bool { return named(all, by) })
}

func named(all []alarm.Active, name string) bool {
	for i := range all {
		if all[i].Name == name {
			return true
		}
	}
	return false
}
