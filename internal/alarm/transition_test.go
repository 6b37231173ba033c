package alarm

import (
	"strings"
	"testing"

	"fillwright/internal/must"
)

// reference reads the rows of one topic from the reference table.
func reference(t *testing.T, topic string) [][]string {
	t.Helper()
	var out [][]string
	for _, row := range must.Rows(t, "testdata/alarm_reference.csv", 2) {
		if row[0] == topic {
			out = append(out, row)
		}
	}
	must.Need(t, len(out) != 0, "no rows of topic %q", topic)
	return out
}

var letters = map[string]condition{"A": normal, "B": unaccepted, "C": accepted, "D": returned, "E": latched, "F": latchedOK}

// words of the reference's fourth column and the events they mean. Where a
// row has two arrows in a chain, the events are in the chain's order.
var eventsOf = map[string]struct {
	events   []event
	latching bool
}{
	"condition appears":                                  {[]event{appears}, false},
	"acknowledge while condition present":                {[]event{accept}, false},
	"condition clears before acknowledge (non-latching)": {[]event{clears}, false},
	"acknowledge after it cleared":                       {[]event{accept}, false},
	"condition clears after acknowledge (non-latching)":  {[]event{clears}, false},
	"condition comes back":                               {[]event{appears}, false},
	"condition clears on a latching alarm":               {[]event{clears}, true},
	"acknowledge, then reset":                            {[]event{accept, reset}, true},
}

// TestTransitions proves every transition of the reference's diagram.
// Source: ISA-18.2 / IEC 62682 state model, from memory.
func TestTransitions(t *testing.T) {
	for _, row := range reference(t, "transition") {
		how, ok := eventsOf[row[3]]
		if !ok {
			t.Errorf("no event for %q", row[3])
			continue
		}
		for _, path := range strings.Split(row[1], ", ") {
			names := strings.Split(path, " -> ")
			must.Need(t, len(names) == len(how.events)+1, "%q has %d arrows, %q %d events", path, len(names)-1, row[3], len(how.events))
			for i, e := range how.events {
				from, to := letters[names[i]], letters[names[i+1]]
				got := next(from, e, how.latching)
				must.Be(t, got == to, "%s: %q from %s gives %d, want %s", path, row[3], names[i], got, names[i+1])
			}
		}
	}
}

// TestStates proves that each state of the reference that the program has is
// shown under its own name, and that the ones it has not can't be reached.
// Source: ISA-18.2 / IEC 62682, from memory.
func TestStates(t *testing.T) {
	shown := map[string]string{"A": "normal", "B": "unacknowledged", "C": "acknowledged", "D": "returned", "E": "latched", "F": "latched"}
	absent := 0
	for _, row := range reference(t, "state") {
		letter, _, _ := strings.Cut(row[1], " ")
		c, ok := letters[letter]
		if !ok {
			absent++ // shelved, suppressed (Table.hidden), out of service
			continue
		}
		must.Equal(t, states[c].String(), shown[letter], "state %s is shown as", letter)
	}
	must.Be(t, absent == 3, "%d states of the reference are not in the diagram, want G, H and I", absent)
	for _, latching := range []bool{false, true} {
		got := reachable(latching)
		must.Be(t, got[latched] == latching && got[latchedOK] == latching && got[unaccepted] && got[accepted] && got[returned] != latching,
			"latching %v reaches %v", latching, got)
	}
}

// reachable is the set of states that events can lead to from normal.
func reachable(latching bool) map[condition]bool {
	got := map[condition]bool{normal: true}
	for range letters { // longer than any path without a loop
		for c := range got {
			for e := appears; e <= reset; e++ {
				got[next(c, e, latching)] = true
			}
		}
	}
	return got
}
