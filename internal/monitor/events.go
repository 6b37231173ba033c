package monitor

// events keeps the newest happenings. The slice handed out is never changed.
type events struct {
	list  []Event
	count uint64
}

func (e *events) add(timeS float64, kind EventKind, text string) {
	keep := e.list
	if len(keep) >= EventsMost {
		keep = keep[len(keep)-EventsMost+1:]
	}
	e.list = append(append(make([]Event, 0, len(keep)+1), keep...), Event{timeS, kind, text})
	e.count++
}
