package screen

import (
	"fmt"
	"math"

	"fillwright/internal/jsonline"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wire"
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
	fresh := min(s.EventCount-min(l.before.EventCount, s.EventCount), uint64(len(s.Events)))
	for _, e := range s.Events[uint64(len(s.Events))-fresh:] {
		switch e.Kind {
		case monitor.EventEntry, monitor.EventLink, monitor.EventRestart:
			dst = fmt.Appendf(dst, "NOTE %s %s\n", clock(math.Max(e.TimeS, 0)), canvas.Clean(e.Text.In(l.Units), false))
		}
	}
	return dst
}
