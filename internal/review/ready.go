package review

import (
	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
)

// beforeS is how long before the monitor calls it filling the gas may have begun
// to come in: the list of then is already of a vessel that is being filled.
const beforeS = 4.0

// readyBook keeps the list before the fill as it stood some seconds ago.
type readyBook struct {
	list [3][]checklist.Item // newest first
	atS  float64
}

func (b *readyBook) look(s *monitor.Snapshot) {
	switch {
	case s.Ready == nil:
	case b.list[0] == nil:
		b.list = [3][]checklist.Item{s.Ready, s.Ready, s.Ready}
		b.atS = s.TimeS
	case s.TimeS-b.atS >= beforeS || s.TimeS < b.atS:
		b.list[2], b.list[1], b.atS = b.list[1], b.list[0], s.TimeS
		b.list[0] = s.Ready
	default:
		b.list[0] = s.Ready
	}
}

// close gives the list as it stood before the first gas, and forgets it. What a
// person confirmed stands as it was last.
func (b *readyBook) close() []checklist.Item {
	out := append([]checklist.Item(nil), b.list[2]...)
	for i := range out {
		for _, now := range b.list[0] {
			if now.Name == out[i].Name && now.Hand {
				out[i] = now
			}
		}
	}
	*b = readyBook{}
	return out
}

// readyWord says how an item of the list stood.
func readyWord(s checklist.State) string {
	switch s {
	case checklist.Yes:
		return "done"
	case checklist.No:
		return "NOT DONE"
	}
	return "not known"
}

func readyObjects(f *Fill) []object {
	return each(f.Ready, func(x *checklist.Item) object {
		return object{"item": x.Name, "title": x.Title, "state": readyWord(x.State), "why": x.Why.String(), "by_hand": x.Hand}
	})
}

// Title names the sensor of a residual.
func (r *Residual) Title() string {
	if r.Station == "" {
		return "gas probe"
	}
	return "wall " + r.Station
}
