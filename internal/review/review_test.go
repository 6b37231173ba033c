package review

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// The stories here are made up by hand, so that each number of a record can be
// counted on the fingers.
type story struct {
	t *Teller
	s monitor.Snapshot
	n uint8
}

func newStory(t *testing.T) *story {
	t.Helper()
	p := vessel.Invented()
	st := &story{t: NewTeller()}
	st.t.Begin(p)
	st.s.Summary = monitor.NoSummary()
	st.s.Phase, st.s.PressurePa, st.s.HottestK, st.s.BandK, st.s.MarginK = phase.Vented, 0, 300, 1, 26
	st.s.GasK, st.s.AmbientK, st.s.GasMassKg = 300, 295, 0.01
	for _, name := range st.t.now.part.Vessel.Stations {
		st.s.Stations = append(st.s.Stations, monitor.Station{Name: name, OuterK: 299, HottestK: 300, BandK: 1, SensorK: math.NaN()})
	}
	return st
}

// pass lets time pass with ten samples a second and a ramp in bar/min.
func (st *story) pass(seconds, barMin float64) {
	for range int(math.Round(seconds * 10)) {
		st.s.TimeS += 0.1
		st.s.RampPaS = barMin * 1e5 / 60
		st.s.PressurePa += st.s.RampPaS * 0.1
		st.s.Summary.EndS = st.s.TimeS
		if !(st.s.PressurePa <= st.s.Summary.PressureMostPa) {
			st.s.Summary.PressureMostPa = st.s.PressurePa
		}
		st.add(wire.TypeSample, nil)
		st.s.Model.Fresh = false
	}
}

func (st *story) add(t wire.Type, body []byte) {
	st.n++
	st.s.Seq++
	st.t.Add(wire.Frame{Type: t, Seq: st.n, Body: body}, &st.s)
}

func (st *story) enter(e wire.Entry) {
	var d wire.Decoder
	d.Aligned = true
	d.Decode(wire.AppendEntry(nil, 0, e), func(f wire.Frame) { st.add(wire.TypeEntry, f.Body) })
}

func (st *story) phase(p phase.Phase) {
	st.s.Phase, st.s.PhaseSince = p, st.s.TimeS
	if p == phase.Filling && !st.s.Summary.Begun {
		st.s.Summary.Begun, st.s.Summary.BeginS = true, st.s.TimeS
	}
}

// TestFill proves that phases, ramps, peaks, margin, sag, gas and forecasts are
// those of the story.
func TestFill(t *testing.T) {
	st := newStory(t)
	st.s.Ready = []checklist.Item{{Name: "wall", State: checklist.Yes}, {Name: "people-clear", Hand: true}}
	st.pass(30, 0)
	st.s.Ready = []checklist.Item{{Name: "wall", State: checklist.No}, {Name: "people-clear", Hand: true, State: checklist.Yes}}
	st.pass(1, 0)
	st.s.Ready = nil
	st.phase(phase.Filling)
	st.s.Advice = advise.Advice{Verdict: advise.VerdictFill, RampPaS: 28e5 / 60, PeakK: 312, PeakBandK: 2, PeakInS: 60}
	st.s.Outlook.Path = []advise.Point{{InS: 0, HottestK: 300, BandK: 1}, {InS: 60, HottestK: 312, BandK: 2}}
	st.s.Model.Fresh = true
	st.pass(60, 30) // to 30 bar, at 30 where 28 was advised: within a tenth
	st.s.GasMassKg = 0.35
	st.s.HottestK, st.s.BandK, st.s.MarginK, st.s.Hottest = 313, 1.5, 12.65, 0
	st.s.Stations[0].HottestK, st.s.Stations[0].SensorK, st.s.Stations[0].OuterK = 313, 310, 311
	st.phase(phase.Holding)
	st.s.Model.Fresh = true
	st.s.Outlook = advise.Outlook{CoastPeakK: 315, CoastPeakBandK: 1, SettlePa: 28e5, Coast: []advise.Point{{HottestK: 313}, {InS: 5, HottestK: 315}}}
	st.pass(60, -2) // down to 28 bar
	st.s.HottestK = 312
	st.phase(phase.Filling)
	st.s.Advice.RampPaS = 10e5 / 60
	st.pass(6, 40) // a top-up at four times the advised ramp
	st.s.GasMassKg = 0.4
	st.phase(phase.Venting)
	st.s.GasK = 280
	st.pass(48, -40)
	st.phase(phase.Vented)
	st.s.Summary.Done = true
	st.pass(40, 0)
	p := st.t.Done(File{}).Parts[0]
	must.Need(t, len(p.Fills) == 1 && p.Fills[0].Done, "%d fills", len(p.Fills))
	f := p.Fills[0]
	must.Near(t, "first gas", f.BeginS, 31, 0.15)
	must.Near(t, "end", f.EndS, 205, 0.3)
	must.Near(t, "hottest", f.Hottest.K, 313, 0)
	must.Be(t, f.Hottest.Station == p.Vessel.Stations[0] && f.Stations[0].ReadK == 310 && math.IsNaN(f.Stations[1].ReadK), "%+v", f.Stations)
	must.Near(t, "least margin", f.MarginK, 12.65, 0)
	must.Near(t, "its time", f.MarginS, 91, 0.2)
	must.Near(t, "coldest", f.VentColdK, 280, 0)
	must.Near(t, "gas that came in", f.GasUsedKg, 0.34+0.05, 1e-9)
	must.Need(t, len(f.Ramps) == 2 && !f.Ramps[0].TopUp && f.Ramps[1].TopUp, "%+v", f.Ramps)
	must.Near(t, "mean ramp", f.Ramps[0].MeanPaS*60/1e5, 30, 0.1)
	must.Near(t, "faster than advised", f.Ramps[0].AboveS, 0, 0)
	must.Near(t, "faster than advised", f.Ramps[1].AboveS, 6, 0.15)
	must.Near(t, "advised", f.Ramps[1].AdvisedPaS*60/1e5, 10, 1e-9)
	must.Need(t, len(f.Holds) == 1, "%v", f.Holds)
	must.Near(t, "sag", f.Holds[0].SagPa/1e5, 2, 0.05)
	must.Near(t, "settle forecast", f.Holds[0].SettlePa/1e5, 28, 0)
	must.Need(t, len(f.Forecasts) == 2, "%+v", f.Forecasts)
	o := &f.Forecasts[0]
	must.Be(t, o.Event == FirstGas && o.Apart == "" && o.Inside() && o.CameK == 313, "%+v inside %v", o, o.Inside())
	o = &f.Forecasts[1]
	must.Be(t, o.Event == SupplyShut && o.Apart == "" && !o.Inside() && o.OffK() == -2, "%+v inside %v", o, o.Inside())
	must.Be(t, f.Ready[0].State == checklist.Yes && f.Ready[1].State == checklist.Yes,
		"the list is that of a vessel that is being filled already: %+v", f.Ready)
	must.Near(t, "residual", f.Residuals[0].WorstK, -1, 0)
}

// TestAlarms proves how long alarms stood, when they were seen and when the
// supply was shut; that one which was hidden for a while is told once, and one
// that nobody saw as never seen.
func TestAlarms(t *testing.T) {
	st := newStory(t)
	st.pass(10, 0)
	st.phase(phase.Filling)
	st.pass(10, 20)
	margin := alarm.Active{Name: alarm.WallMargin, Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: st.s.TimeS, EndS: math.NaN()}
	st.s.Alarms = []alarm.Active{margin}
	st.pass(5, 20)
	abort := alarm.Active{Name: alarm.WallAbort, Level: alarm.LevelAbort, State: alarm.StateUnacknowledged, SinceS: st.s.TimeS, EndS: math.NaN()}
	st.s.Alarms = []alarm.Active{abort} // and hides the other
	st.pass(3, 20)
	abort.State = alarm.StateAcknowledged
	st.s.Alarms = []alarm.Active{abort}
	st.enter(wire.Entry{Kind: wire.EntryAcknowledge})
	st.pass(1, 20)
	st.phase(phase.Holding)
	st.pass(2, 0)
	abort.State, abort.EndS = alarm.StateLatched, st.s.TimeS
	st.s.Alarms = []alarm.Active{abort, margin}
	st.pass(9, 0)
	st.s.Alarms = []alarm.Active{margin}
	st.pass(4, 0)
	p := st.t.Done(File{}).Parts[0]
	must.Need(t, len(p.Alarms) == 2, "%+v", p.Alarms)
	m, a := p.Alarms[0], p.Alarms[1]
	must.Near(t, "margin stood to the end", m.StoodS(p.EndS), 5+3+1+2+9+4, 0.3)
	must.Near(t, "abort stood", a.StoodS(p.EndS), 6, 0.2)
	must.Near(t, "abort seen after", a.SeenS-a.RaisedS, 3, 0.15)
	must.Near(t, "shut after abort", a.ShutAfterS, 4, 0.2)
	must.Near(t, "shut after caution", m.ShutAfterS, 9, 0.2)
	must.Near(t, "time to respond", a.RespondS, 5, 0)
	must.Be(t, math.IsNaN(m.SeenS) && m.Seen() == "never", "seen %g: it was not on the list when the others were seen", m.SeenS)
	f := p.Fills[0]
	must.Be(t, f.Raised[alarm.LevelAbort] == 1 && f.Raised[alarm.LevelCaution] == 1 && f.AbortFirst == alarm.WallAbort && !f.Done, "%+v", f)
	for _, o := range p.Fills[0].Forecasts {
		must.Be(t, o.Event != alarm.WallMargin || strings.Contains(o.Apart, "9 s later"), "compared though the supply was shut late: %+v", o)
	}
}

// TestGapsAndEntries proves that silences, marks and hand-held readings with
// the estimate that they met are told, and one taken back as such.
func TestGapsAndEntries(t *testing.T) {
	st := newStory(t)
	st.pass(10, 0)
	st.s.TimeS += 7
	st.pass(10, 0)
	st.enter(wire.Entry{Kind: wire.EntrySurface, Station: 1, Value: 30000})
	st.enter(wire.Entry{Kind: wire.EntrySurface, Station: 0, Value: 40000})
	st.enter(wire.Entry{Kind: wire.EntryUndo})
	st.enter(wire.Entry{Kind: wire.EntryMark, Text: "cloud"})
	r := st.t.Done(File{Counts: wire.Counts{Lost: 3}})
	p := r.Parts[0]
	d := p.Data
	must.Be(t, d.Gaps == 1 && d.Lost == 3 && d.Samples == 200, "%+v", d)
	must.Near(t, "gap", p.Data.GapMostS, 7.1, 1e-6)
	must.Near(t, "rate", p.Data.RateHz, 10, 0.01)
	must.Be(t, len(p.Hand) == 2 && !p.Hand[0].TakenBack && p.Hand[1].TakenBack && p.Hand[0].EstimateK == 299 && p.Hand[0].K == 303.15, "%+v", p.Hand)
	must.Be(t, len(p.Entries) == 4 && p.Entries[3].Text == "cloud", "%+v", p.Entries)
	text := r.Text(quantity.SystemPSIF)
	must.Be(t, strings.Contains(text, "No fill is in it") && strings.Contains(text, "86.0 °F"), "%v", text)
}

// TestUnknownIsNull proves that what is not known is null in JSON, never 0, and
// that JSON is one whole object.
func TestUnknownIsNull(t *testing.T) {
	st := newStory(t)
	st.s.PressurePa = math.NaN()
	st.add(wire.TypeSample, nil)
	line := must.Get(st.t.Done(File{}).JSON())(t)
	var back struct {
		Parts []struct {
			Begun *string `json:"begun"`
			Data  struct {
				Rate *float64 `json:"rate_hz"`
			} `json:"data"`
		} `json:"parts"`
	}
	must.Do(t, json.Unmarshal(line, &back))
	must.Be(t, len(back.Parts) == 1 && back.Parts[0].Begun == nil && back.Parts[0].Data.Rate == nil, "%s", line)
}
