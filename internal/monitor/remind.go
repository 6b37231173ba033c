package monitor

import (
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/wording"
)

// Reminder is something that the operator wants to be reminded of again and
// again: to re-wet the wall, to look after the shade.
type Reminder struct {
	What   string
	EveryS float64
	DueS   float64 // session time from which it is due
}

// RemindersMost is the most reminders at a time.
const RemindersMost = 4

// Bounds of a reminder's rhythm, s.
const (
	RemindLeastS = 10
	RemindMostS  = 24 * 3600
)

// remind sets, changes or ends a reminder. The slice handed out is never
// changed.
func (m *Monitor) remind(what string, everyS float64) {
	t := m.snap.TimeS
	list := make([]Reminder, 0, RemindersMost)
	found := false
	for _, r := range m.snap.Reminders {
		if r.What == what {
			found = true
			continue
		}
		list = append(list, r)
	}
	switch {
	case what == "":
		m.events.refuse(t, wording.ReminderOfNothing)
		return
	case everyS <= 0 && !found:
		m.events.refuse(t, wording.NoSuchReminder(what))
		return
	case everyS <= 0:
		m.events.add(t, EventEntry, wording.ReminderEnded(what))
	case everyS < RemindLeastS || everyS > RemindMostS:
		m.events.refuse(t, wording.ReminderRhythm(what, RemindLeastS, RemindMostS))
		return
	case len(list) == RemindersMost:
		m.events.refuse(t, wording.TooManyReminders(what, RemindersMost))
		return
	default:
		list = append(list, Reminder{what, everyS, t + everyS})
		m.events.add(t, EventEntry, wording.ReminderSet(everyS, what))
	}
	m.snap.Reminders = list
}

// due names the reminders that are due now.
func (m *Monitor) due() string {
	var names []string
	for _, r := range m.snap.Reminders {
		if m.snap.TimeS >= r.DueS {
			names = append(names, r.What)
		}
	}
	return strings.Join(names, ", ")
}

// reminded starts those that were due anew, once the operator has seen them.
func (m *Monitor) reminded(accepted string) {
	if accepted != "" && accepted != alarm.Reminder || m.due() == "" {
		return
	}
	list := append([]Reminder(nil), m.snap.Reminders...)
	for i := range list {
		if m.snap.TimeS >= list[i].DueS {
			list[i].DueS = m.snap.TimeS + list[i].EveryS
		}
	}
	m.snap.Reminders = list
}
