package monitor

import "fillwright/internal/wording"

// events keeps the newest happenings. The slice handed out is never changed.
type events struct {
	list  []Event
	count uint64
}

func (e *events) add(timeS float64, kind EventKind, text wording.Text) {
	keep := e.list
	if len(keep) >= EventsMost {
		keep = keep[len(keep)-EventsMost+1:]
	}
	e.list = append(append(make([]Event, 0, len(keep)+1), keep...), Event{TimeS: timeS, Kind: kind, Text: text})
	e.count++
}

// AllAlarms stands for a name where all alarms were accepted at once.
const AllAlarms = "all alarms"

// accept is add of an alarm that the operator has seen; an empty name: of all.
func (e *events) accept(timeS float64, name string) {
	if name == "" {
		name = AllAlarms
	}
	e.add(timeS, EventEntry, wording.Acknowledged(name))
	e.list[len(e.list)-1].Accepted = name
}

// refuse is add of an entry that was turned down: the operator was told that it
// was handed in.
func (e *events) refuse(timeS float64, text wording.Text) {
	e.add(timeS, EventEntry, text)
	e.list[len(e.list)-1].Refused = true
}
