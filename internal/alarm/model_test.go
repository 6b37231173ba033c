package alarm

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/wording"
)

// naive is the plainest model of the table that could be right: it keeps all
// that ever happened to an alarm and looks through it again each time.
type naive struct {
	times    []float64 // of each Advance
	present  []bool    // the condition at each
	was      string    // A to E; F passes at once
	stood    bool
	accepted bool
}

// held says whether the condition has been as now for delay up to the last time.
func (n *naive) held(delay float64) bool {
	last := len(n.times) - 1
	for i := last; i >= 0; i-- {
		if n.present[i] != n.present[last] {
			return n.times[last]-n.times[i+1] >= delay
		}
	}
	return n.present[last] && n.times[last]-n.times[0] >= delay
}

func (n *naive) advance(d *Definition, timeS float64, present bool) {
	n.times, n.present = append(n.times, timeS), append(n.present, present)
	if present && !n.stood && n.held(d.OnDelayS) {
		n.stood, n.accepted, n.was = true, false, "B"
	}
	if !present && n.stood && n.held(d.OffDelayS) {
		n.stood = false
		switch {
		case n.accepted:
			n.was = "A"
		case d.Latching:
			n.was = "E"
		default:
			n.was = "D"
		}
	}
}

func (n *naive) accept() {
	switch n.was {
	case "B":
		n.was, n.accepted = "C", true
	case "D", "E":
		n.was = "A"
	}
}

// TestAgainstModel proves the table against the naive model for random
// histories of conditions, acceptances and times.
func TestAgainstModel(t *testing.T) {
	defs := Definitions()
	shown := map[string]State{"": StateNormal, "A": StateNormal, "B": StateUnacknowledged, "C": StateAcknowledged, "D": StateReturned, "E": StateLatched}
	rapid.Check(t, func(t *rapid.T) {
		tab, models, raw := NewTable(), make([]naive, len(defs)), make([]bool, len(defs))
		timeS := 0.0
		hidden := func(d *Definition) bool {
			for _, h := range d.HiddenBy {
				for j := range defs {
					if defs[j].Name == h && models[j].stood {
						return true
					}
				}
			}
			return false
		}
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			for range rapid.IntRange(0, 4).Draw(t, "changes") {
				i := rapid.IntRange(0, len(defs)-1).Draw(t, "alarm")
				raw[i] = rapid.Bool().Draw(t, "present")
				tab.Set(defs[i].Name, raw[i], wording.Text{})
			}
			timeS += rapid.SampledFrom([]float64{0, 0.02, 0.25, 1, 3, 12}).Draw(t, "wait")
			tab.Advance(timeS)
			for i := range defs {
				models[i].advance(&defs[i], timeS, raw[i])
			}
			switch rapid.IntRange(0, 3).Draw(t, "accept") {
			case 0:
				i := rapid.IntRange(0, len(defs)-1).Draw(t, "which")
				tab.Acknowledge(defs[i].Name)
				models[i].accept()
			case 1:
				tab.Acknowledge("")
				for i := range defs {
					if !hidden(&defs[i]) {
						models[i].accept()
					}
				}
			}
			worst, count := LevelNone, 0
			for i := range defs {
				want := shown[models[i].was]
				if hidden(&defs[i]) {
					want = StateNormal
				}
				a, ok := find(tab.Active(), defs[i].Name)
				must.Need(t, a.State == want && ok == (want != StateNormal), "at %g s %s is %v, want %v", timeS, defs[i].Name, a.State, want)
				if ok {
					worst, count = max(worst, defs[i].Level), count+1
				}
			}
			checkList(t, tab, worst, count)
		}
	})
}

// checkList holds what is true of every list: worst first, one first alarm in
// each group, nothing twice.
func checkList(t *rapid.T, tab *Table, worst Level, count int) {
	list := tab.Active()
	must.Need(t, tab.Worst() == worst && len(list) == count, "worst %v of %d, want %v of %d", tab.Worst(), len(list), worst, count)
	groups, firsts := map[string]bool{}, 0
	for i, a := range list {
		groups[tab.row(a.Name).def.Group] = true
		if a.First {
			firsts++
		}
		if i > 0 {
			must.Need(t, a.Level <= list[i-1].Level, "%s before %s", list[i-1].Name, a.Name)
		}
		past := !a.Present() && a.Name != Reminder
		must.Need(t, !a.Cause.Empty() && (a.Do == "") == past && math.IsNaN(a.EndS) == a.Present(),
			"%+v: no words, an order for what is past, or none for what is not", a)
	}
	must.Need(t, firsts == len(groups), "%d firsts in %d groups", firsts, len(groups))
}
