package review

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/learn"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// filledTo is the record of a fill to so many bar at a ramp, on a day.
func filledTo(t *testing.T, name string, unixMS int64, bars, ramp float64) *Record {
	t.Helper()
	st := newStory(t)
	st.add(wire.TypeLogStart, nil)
	st.s.UnixMS = unixMS
	st.pass(20, 0)
	st.phase(phase.Filling)
	st.pass(60*bars/ramp, ramp)
	st.s.MarginK = 30 - bars/2
	st.phase(phase.Holding)
	st.pass(10, 0)
	st.phase(phase.Vented)
	st.s.Summary.Done = true
	st.pass(40, 0)
	return st.t.Done(File{Name: name})
}

// TestCompare proves that fills come in the order of their days, with their
// ramps and margins, the spread of each in the last row, and that cycles are
// counted by their pressure against the limit.
func TestCompare(t *testing.T) {
	const day = 86400000
	c := CompareAll([]*Record{filledTo(t, "c", 3*day, 48, 20), filledTo(t, "a", day, 20, 10), filledTo(t, "b", 2*day, 30, 15)}, nil, "a reason")
	var names []string
	for i := range c.Rows {
		names = append(names, c.Rows[i].Name)
	}
	must.Need(t, slices.Equal(names, []string{"a", "b", "c"}), "%v", names)
	must.Near(t, "ramp", c.Rows[0].RampPaS*60/1e5, 10, 0.1)
	must.Near(t, "ramp", c.Rows[2].RampPaS*60/1e5, 20, 0.1)
	y := c.Cycles
	must.Be(t, y.All == 3 && y.Half == 2 && y.Near == 1, "%+v", y)
	rows := c.Differed(quantity.SystemBarC)
	last := rows[len(rows)-1]
	must.Be(t, len(rows) == 5 && last[0] == "spread" && last[4] == "10.0 bar/min" && last[7] == "14.0 °C" && rows[1][1] == "1970-01-02", "%v", rows)
	text := c.Text(quantity.SystemBarC)
	must.Be(t, strings.Contains(text, "Nothing was fitted: a reason.") && !strings.Contains(text, "NOT ONE VESSEL"), "%v", text)
	line, err := c.JSON()
	must.Be(t, err == nil && json.Valid(line) && strings.Contains(string(line), `"left_out_rms_k":null`), "%v %s", err, line)
}

// TestTeaching proves that the fill which the others predict worst comes first,
// and one whose wall nobody read last.
func TestTeaching(t *testing.T) {
	fit := &learn.Result{Steps: []learn.Step{{Outcome: &learn.Outcome{Fills: []learn.FillFit{{FilmLn: 0}, {FilmLn: math.Log(1.2)}, {FilmLn: 0}}},
		LeftOut: []learn.FillFit{{WallRMSK: 0.5, WallWorstK: 1}, {WallRMSK: 2, WallWorstK: 5}, {WallRMSK: math.NaN()}}}}}
	c := CompareAll([]*Record{filledTo(t, "a", 1, 20, 10), filledTo(t, "b", 2, 30, 15), filledTo(t, "c", 3, 30, 15)}, fit, "")
	var names []string
	for _, x := range c.Teaching() {
		names = append(names, x.Name)
	}
	must.Be(t, slices.Equal(names, []string{"b", "a", "c"}), "%v", names)
	must.Near(t, "film", c.Rows[1].Film, 1.2, 1e-9)
	rows := c.Taught(quantity.SystemBarC)
	must.Be(t, strings.HasPrefix(rows[1][5], "most") && strings.HasPrefix(rows[3][5], "next to nothing") && rows[3][1] == quantity.Unknown,
		"%v", rows)
}

// TestVesselsThatDiffer proves that fills of two vessels are told as such.
func TestVesselsThatDiffer(t *testing.T) {
	a, b := filledTo(t, "a", 1, 20, 10), filledTo(t, "b", 2, 20, 10)
	b.Parts[0].Vessel.Name = "Heron"
	text := CompareAll([]*Record{a, b}, nil, "").Text(quantity.SystemBarC)
	must.Be(t, strings.Contains(text, "NOT ONE VESSEL'S FILLS: Plover, Heron"), "%v", text)
	v, err := vessel.Parse("plover", []byte(vessel.Example()))
	must.Be(t, err == nil && vesselOf(v).Name == "Plover", "%v", err)
}
