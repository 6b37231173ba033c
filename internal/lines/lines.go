// Package lines prints a session as lines: one Snapshot a line, as plain text
// for a pipe, a log or a screen reader, or as JSON. The words are those of the
// screen.
package lines

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/jsonline"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// Lines turns inputs and the Snapshots after them into lines of text, the same
// for a live session and for a replay of its log.
type Lines struct {
	JSON   bool            // one object a line, see package jsonline; else PlainLine
	EveryS float64         // session time between lines; 0: a line a sample
	Units  quantity.System // of plain lines; JSON has its own

	begun  bool
	nextS  float64 // session time from which the next line is due
	before monitor.Snapshot
}

// Append appends the lines that are due after an input of type t gave s. Only
// samples and silences move the session on, so only they make lines that can
// be thinned. In plain text a new verdict, each change of an alarm and each
// event of cable, logger and operator have lines at once, however thin.
func (l *Lines) Append(dst []byte, t wire.Type, s *monitor.Snapshot) []byte {
	if t == wire.TypeLogStart { // a session begins, another one perhaps
		l.begun, l.before = false, monitor.Snapshot{}
	}
	due := (t == wire.TypeSample || t == wire.TypeSilence) && (!l.begun || s.TimeS >= l.nextS)
	if l.JSON {
		if due {
			dst = append(jsonline.Append(dst, s), '\n')
			l.printed(s.TimeS)
		}
		return dst
	}
	dst = l.news(dst, s)
	if turned := l.begun && s.Advice.Verdict != l.before.Advice.Verdict; due || turned {
		dst = append(append(dst, PlainLine(*s, l.Units)...), '\n')
		l.printed(s.TimeS)
	}
	l.before = *s
	return dst
}

// printed notes when the next line is due. Lines stay on whole multiples of
// the rhythm, so that a late sample does not shift those after it.
func (l *Lines) printed(timeS float64) {
	l.begun = true
	if l.EveryS > 0 {
		// A hair early counts: 0.3 is not three times 0.1.
		l.nextS = (math.Floor(timeS/l.EveryS+1e-6)+1)*l.EveryS - 1e-6
	}
}

// news appends alarms that changed and events that are new.
func (l *Lines) news(dst []byte, s *monitor.Snapshot) []byte {
	for _, line := range PlainAlarms(&l.before, s, l.Units) {
		dst = append(append(dst, line...), '\n')
	}
	for _, e := range s.EventsSince(l.before.EventCount) {
		switch e.Kind {
		case monitor.EventEntry, monitor.EventLink, monitor.EventRestart:
			dst = fmt.Appendf(dst, "NOTE %s %s\n", headline.Clock(math.Max(e.TimeS, 0)), canvas.Clean(e.Text.In(l.Units), false))
		}
	}
	return dst
}

// PlainAlarm is an alarm as a line of its own.
func PlainAlarm(a alarm.Active, u quantity.System) string {
	state := headline.StateWord(&a)
	if state != "" {
		state = " " + state
	}
	when := " since " + headline.Clock(math.Max(a.SinceS, 0))
	if headline.Past(&a) {
		when = " " + headline.WhenText(&a)
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
		if a := &after.Alarms[i]; !headline.Stands(before, a) {
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
	for _, d := range alarm.Definitions() {
		if d.Name == name {
			return slices.ContainsFunc(d.HiddenBy, func(by string) bool { return named(all, by) })
		}
	}
	return false
}

func named(all []alarm.Active, name string) bool {
	return slices.ContainsFunc(all, func(a alarm.Active) bool { return a.Name == name })
}
