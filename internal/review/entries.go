package review

import (
	"math"

	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// entry takes up what the operator did; s is the Snapshot after it, n.last the
// one before.
func (n *telling) entry(body []byte, s *monitor.Snapshot) {
	var e wire.Entry
	if wire.ParseEntry(body, &e) != nil {
		return
	}
	out := Entry{S: s.TimeS, Kind: e.Kind, Value: math.NaN(), Text: e.Text}
	switch e.Kind {
	case wire.EntryAcknowledge:
		n.alarms.seen(&e, s.TimeS)
	case wire.EntrySurface:
		out.Value = float64(e.Value)/1000 + 273.15
		if int(e.Station) < len(n.part.Vessel.Stations) {
			out.Station = n.part.Vessel.Stations[e.Station]
			n.hand(int(e.Station), out.Value, s.TimeS)
		}
	case wire.EntryUndo:
		if i, _ := n.standing.Undo(s.TimeS); i >= 0 && i < len(n.part.Hand) {
			n.part.Hand[i].TakenBack = true
		}
	case wire.EntryTarget, wire.EntryRemind:
		out.Value = float64(e.Value)
	}
	if len(n.part.Entries) >= entriesMost {
		n.part.Left.Entries++
		return
	}
	n.part.Entries = append(n.part.Entries, out)
}

// hand keeps a hand-held reading with the estimate that it met.
func (n *telling) hand(station int, k, timeS float64) {
	if n.standing.Number(station, timeS) >= handMost {
		return
	}
	r := Reading{S: timeS, Station: n.part.Vessel.Stations[station], K: k, EstimateK: math.NaN()}
	if station < len(n.last.Stations) {
		r.EstimateK = n.last.Stations[station].OuterK
	}
	n.part.Hand = append(n.part.Hand, r)
}

// EntryWord says what an entry was.
func EntryWord(k wire.EntryKind) string {
	words := map[wire.EntryKind]string{
		wire.EntryAcknowledge: "alarms seen", wire.EntrySurface: "surface reading", wire.EntryUndo: "reading taken back", wire.EntryMark: "mark",
		wire.EntryConfirm: "confirmed", wire.EntryTarget: "target", wire.EntryWithdraw: "taken back", wire.EntryRemind: "reminder",
	}
	if w, ok := words[k]; ok {
		return w
	}
	return "an entry of a later version"
}
