package review

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/columns"
	"fillwright/internal/quantity"
	"fillwright/internal/wire"
)

// Cautions stand on every page and report.
var Cautions = [...]string{
	"What stands here is estimated from what the sensors read. It does not say that the vessel is sound, or that another fill will go as this one went.",
	"What \"came\" is the estimate too, not the truth; nobody saw the hottest place of the wall.",
	"Distance, a relief valve, a proof test and the range safety officer are replaced by nothing that stands here.",
}

// Text is the record for a terminal, in the units asked for.
func (r *Record) Text(u quantity.System) string {
	w := &writer{u: u}
	w.line("%s: %s of %d bytes", r.File.Name, r.File.Kind, r.File.Bytes)
	w.line("SHA-256 %s", r.File.SHA256)
	for _, warning := range r.File.Warnings {
		w.line("NOT WHOLE: %s; fillwright review --check says where", warning)
	}
	for i, p := range r.Parts {
		w.part(p, i, len(r.Parts))
	}
	w.cautions()
	return w.b.String()
}

// writer writes lines and tables.
type writer struct {
	b strings.Builder
	u quantity.System
}

func (w *writer) line(format string, a ...any) { fmt.Fprintf(&w.b, format+"\n", a...) }

func (w *writer) head(title string) { w.line("\n%s", title) }

// table writes rows in columns; the first row is the head.
func (w *writer) table(rows [][]string) { w.b.WriteString(columns.Table("  ", rows)) }

// cautions writes what the reader must know, after what stands before.
func (w *writer) cautions(before ...string) {
	w.line("")
	for _, text := range append(before, Cautions[:]...) {
		for _, line := range columns.Wrap(text, 78) {
			w.line("%s", line)
		}
	}
}

func (w *writer) part(p *Part, i, of int) {
	v := &p.Vessel
	w.line("")
	if of > 1 {
		w.line("PART %d OF %d", i+1, of)
	}
	w.line("Vessel %s: onset %s, reserve %s, limit %s", v.Name, w.u.Temperature(v.OnsetK), w.u.Difference(v.ReserveK), w.u.Pressure(v.LimitPa))
	if v.Invented {
		w.line("Invented: %s is a vessel that does not exist; nothing here was measured.", v.Name)
	}
	w.line("%s", p.Rests())
	w.line("%s", p.Data.String())
	if len(p.Fills) == 0 {
		w.line("No fill is in it: no gas was seen to come in and bring the pressure above %s.", w.u.Pressure(fillLeastPa))
	}
	for k, f := range p.Fills {
		w.fill(p, f, k, len(p.Fills))
	}
	w.alarms(p)
	w.sensors(p)
	w.entries(p)
	if n := p.Left.Sum(); n > 0 {
		w.line("\n%d things more found no room here.", n)
	}
}

// Sum is all that found no room.
func (l Left) Sum() int { return l.Phases + l.Fills + l.Alarms + l.Entries + l.Notes + l.Forecasts }

// Rests says when, by what and with which model a part was recorded.
func (p *Part) Rests() string {
	var out []string
	if when := p.When(); when != "" {
		out = append(out, "begun "+when)
	}
	if p.App != "" {
		out = append(out, fmt.Sprintf("recorded by version %s, log version %d", p.App, p.Version))
	}
	if p.BoardHas {
		out = append(out, fmt.Sprintf("logger 0x%X", p.Board))
	}
	model := "wall model: " + p.Model.Name
	if p.Model.Fills > 0 {
		model += fmt.Sprintf(", %s, of %d fills", p.Model.Variant, p.Model.Fills)
	}
	out = append(out, model, fmt.Sprintf("offsets taken off %d of %d sensors", p.Offsets, len(p.Sensors)))
	return strings.Join(out, "; ")
}

// String says in a line what came of the readings.
func (d *Data) String() string {
	text := fmt.Sprintf("%d samples in %s, %s a second", d.Samples, quantity.Clock(d.SpanS), decimals(d.RateHz, 1))
	if d.Gaps > 0 {
		text += fmt.Sprintf("; %d gaps, %.1f s in all, the longest %.1f s at %s", d.Gaps, d.GapsS, d.GapMostS, quantity.Clock(d.GapMostT))
	} else {
		text += "; no gap longer than 1 s"
	}
	text += fmt.Sprintf("; %d frames lost on the way, %d restarts", d.Lost, d.Restarts)
	return text
}

func decimals(x float64, n int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Unknown
	}
	return fmt.Sprintf("%.*f", n, x)
}

func (w *writer) alarms(p *Part) {
	w.head("Alarms")
	if len(p.Alarms) == 0 {
		w.line("  none was raised")
		return
	}
	rows := [][]string{{"raised", "alarm", "level", "stood", "seen after", "shut after", "respond within"}}
	for i := range p.Alarms {
		rows = append(rows, p.Alarms[i].Cells(p.EndS))
	}
	w.table(rows)
}

// Cells are an alarm for people: when it was raised, name, level, how long it stood,
// how soon it was seen and the supply shut, and in what time that was due.
func (a *Alarm) Cells(endS float64) []string {
	return []string{quantity.Clock(a.RaisedS), a.Name, a.Level.String(), a.Stood(endS), a.Seen(), Span(a.ShutAfterS), Span(a.RespondS)}
}

// Stood is how long it stood, for people.
func (a *Alarm) Stood(endS float64) string {
	text := Span(a.StoodS(endS))
	if math.IsNaN(a.GoneS) {
		text += ", stands"
	}
	return text
}

// Seen is how soon it was seen, for people.
func (a *Alarm) Seen() string {
	if math.IsNaN(a.SeenS) {
		return "never"
	}
	return Span(a.SeenS - a.RaisedS)
}

// Span is a time span for people: tenths up to a minute.
func Span(s float64) string {
	if math.IsNaN(s) || s >= 60 {
		return quantity.Clock(s)
	}
	return fmt.Sprintf("%.1f s", s)
}

func (w *writer) sensors(p *Part) {
	w.head("Sensors")
	w.table(append([][]string{{"ch", "sensor", "good for", "noise", "vented before", "after", "drift", "least", "most", "trouble"}}, p.SensorRows(w.u)...))
}

// SensorRows has a row a sensor: channel, name, how long it was good, noise, mean
// vented before and after, drift, least, most, trouble.
func (p *Part) SensorRows(u quantity.System) [][]string {
	var rows [][]string
	for i := range p.Sensors {
		s := &p.Sensors[i]
		rows = append(rows, append([]string{fmt.Sprint(s.Channel), s.Title()}, s.cells(u)...))
	}
	return rows
}

func (s *Sensor) cells(u quantity.System) []string {
	value, diff := u.Temperature, u.Difference
	noise := decimals(u.DifferenceValue(s.Noise), 3) + " " + u.TemperatureUnit()
	if s.Pressure {
		value, diff = u.Pressure, u.Pressure
		noise = decimals(u.PressureValue(s.Noise), 3) + " " + u.PressureUnit()
	}
	trouble := "none seen"
	for i, ill := range s.Ill {
		if i == 0 {
			trouble = ""
		} else {
			trouble += ", "
		}
		trouble += fmt.Sprintf("%s %s from %s", ill.Health, Span(ill.S), quantity.Clock(ill.FirstS))
		if ill.Doubt {
			trouble += " (doubt)"
		}
	}
	if math.IsNaN(s.Noise) {
		noise = quantity.Unknown
	}
	return []string{quantity.Clock(s.GoodS), noise, value(s.Before), value(s.After), diff(s.Drift()), value(s.Least), value(s.Most), trouble}
}

func (w *writer) entries(p *Part) {
	w.head("Entries and notes")
	if len(p.Entries)+len(p.Notes) == 0 {
		w.line("  nothing was entered")
		return
	}
	w.table(p.EntryRows(w.u))
}

// EntryRows has a row for each entry of the operator, then for each note: when, what, words.
func (p *Part) EntryRows(u quantity.System) [][]string {
	var rows [][]string
	for i := range p.Entries {
		e := &p.Entries[i]
		rows = append(rows, []string{quantity.Clock(e.S), EntryWord(e.Kind), e.what(u)})
	}
	for _, n := range p.Notes {
		rows = append(rows, []string{quantity.Clock(n.S), "note", n.Text})
	}
	return rows
}

// what an entry said, for people.
func (e *Entry) what(u quantity.System) string {
	switch e.Kind {
	case wire.EntryAcknowledge:
		if e.Text == "" {
			return "all"
		}
	case wire.EntrySurface:
		return e.Station + " " + u.Temperature(e.Value)
	case wire.EntryTarget:
		return u.Pressure(e.Value)
	case wire.EntryRemind:
		return fmt.Sprintf("%s every %s", e.Text, quantity.Clock(e.Value))
	}
	return e.Text
}
