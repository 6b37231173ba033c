// Package review keeps what a recording tells of the fills in it: the account,
// what was forecast and what came, alarms and how long they stood, sensors,
// data, entries. It is fed with inputs and the Snapshots after them, in one
// pass, and keeps reduced series only.
package review

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Record is what one recording tells. Unknown numbers are NaN; temperatures
// are K, pressures gauge Pa, ramps Pa/s, times session seconds of the part.
type Record struct {
	File  File
	Parts []*Part // one a time of watching; a log is added to
}

// File is the recording as a file.
type File struct {
	Name     string
	Kind     string // "run log", "capture", …
	Bytes    int64
	SHA256   string // of all its bytes, hexadecimal
	Counts   wire.Counts
	Warnings []string // what is not whole in it
	Program  string   // version of the program that made this review
}

// Part is one time of watching: from a log's start to its end, or to where it
// was appended to.
type Part struct {
	UnixMS   int64  // host clock at its start, 0: not known
	App      string // version of the program that recorded it, "": not known
	Version  int    // of the log, 0: it is a capture or a table
	Board    uint64
	BoardHas bool // Board is known
	Vessel   Vessel
	Model    monitor.ModelNote
	Offsets  int // readings that an offset was taken off
	EndS     float64
	Phases   []Phase
	Fills    []*Fill
	Alarms   []Alarm
	Entries  []Entry
	Hand     []Reading // hand-held readings
	Notes    []Note
	Sensors  []Sensor
	Data     Data
	Course   *Course // of the whole part, coarse
	Left     Left    // what was left out, because there was too much of it
}

// Left counts what found no room.
type Left struct{ Phases, Fills, Alarms, Entries, Notes, Forecasts int }

// Limits on what is kept of one part.
const (
	phasesMost    = 500
	fillsMost     = 32
	alarmsMost    = 500
	entriesMost   = 500
	notesMost     = 200
	forecastsMost = 40 // of one fill
	handMost      = 200
	rampsMost     = 50
)

// Vessel is what the profile in force said.
type Vessel struct {
	Name     string
	OnsetK   float64
	ReserveK float64
	LimitPa  float64
	TargetPa float64
	Reaction float64 // s
	Stations []string
	Plies    int
	Invented bool // it is the example that does not exist
}

func vesselOf(v *vessel.Profile) Vessel {
	out := Vessel{
		Name: v.Name, OnsetK: float64(v.Resin.Onset), ReserveK: float64(v.Limits.Reserve), LimitPa: float64(v.Limits.Pressure),
		TargetPa: float64(v.Fill.Target),
		Reaction: float64(v.Limits.Reaction), Plies: len(v.Plies),
	}
	_, out.Invented = vessel.Untouched(v)
	for i := range v.Stations {
		out.Stations = append(out.Stations, v.Stations[i].Name)
	}
	return out
}

// GoalK is the temperature that a planned fill stays under.
func (v *Vessel) GoalK() float64 { return v.OnsetK - v.ReserveK }

// Phase is a stretch in which the vessel did one thing.
type Phase struct {
	Phase        phase.Phase
	FromS, ToS   float64
	FromPa, ToPa float64
}

// Fill is one fill: from the first gas until the vessel is vented again.
type Fill struct {
	BeginS, EndS float64
	Done         bool // it was vented; else the recording ended before
	TargetPa     float64
	AmbientK     float64 // when the gas began to come in
	Account      monitor.Summary
	Hottest      Peak
	Stations     []Peak
	MarginK      float64 // least
	MarginS      float64
	VentColdK    float64 // coldest gas while it was vented
	GasUsedKg    float64 // that came in, all in all
	Ramps        []Ramp
	Holds        []Hold
	Ready        []checklist.Item          // the list as it stood when the gas began to come in
	Raised       [alarm.LevelAbort + 1]int // alarms of each level
	AbortFirst   string                    // "": none
	Forecasts    []Forecast
	Residuals    []Residual
	Course       *Course
}

// Peak is the hottest that a place was estimated to be.
type Peak struct {
	Station string
	K       float64
	BandK   float64 // two sigma
	S       float64
	ReadK   float64 // the most that an attached sensor read there; NaN: none
}

// Ramp is one time that gas came in.
type Ramp struct {
	FromS, ToS   float64
	FromPa, ToPa float64
	MeanPaS      float64
	MostPaS      float64
	AdvisedPaS   float64 // mean of what was advised meanwhile
	AboveS       float64 // how long it was faster than advised
	TopUp        bool    // not the first of its fill
	ShutS        float64 // no more gas came in; NaN: the recording ended before
}

// Hold is one time that the vessel stood under pressure.
type Hold struct {
	FromS, ToS   float64
	FromPa, ToPa float64
	SagPa        float64 // what the pressure fell by
	SettlePa     float64 // what was forecast when the supply was shut
}

// Reading is a hand-held reading of the skin.
type Reading struct {
	S         float64
	Station   string
	K         float64
	EstimateK float64 // of the skin, just before it was entered
	TakenBack bool
}

// Residual is how far the readings of a sensor lay from the estimate.
type Residual struct {
	Station string // "": the gas probe
	N       int
	MeanK   float64
	RMSK    float64
	WorstK  float64
	WorstS  float64
}

// Forecast is what was foreseen at an event, and what came of it. What came is
// the estimate, not the truth.
type Forecast struct {
	AtS       float64
	Event     string // "first gas", "supply shut", or the alarm that was raised
	IfShut    bool   // foreseen for a supply shut at that moment; else for the advised ramp
	RampPaS   float64
	PeakK     float64
	BandK     float64
	PeakInS   float64
	SettlePa  float64
	Path      []advise.Point
	CameK     float64 // the hottest from then until gas came in again
	CameBandK float64
	CameInS   float64
	CamePa    float64 // pressure at the end of the hold that followed
	CameRamp  float64 // mean ramp that came
	ShutInS   float64 // supply shut so long after the event; NaN: not
	Apart     string  // why the two can't be held against each other; "": they can
}

// OffK is how much hotter it came than was forecast.
func (f *Forecast) OffK() float64 { return f.CameK - f.PeakK }

// Alarm is one time that an alarm stood. It was seen when the operator said so.
type Alarm struct {
	Name       string
	Level      alarm.Level
	Cause      string
	RaisedS    float64
	SeenS      float64 // NaN: never
	GoneS      float64 // its condition; NaN: it stood at the end
	RespondS   float64 // the time there is to respond, by the alarm table
	ShutAfterS float64 // gas stopped coming in so long after; NaN: it did not, or none came
}

// StoodS is how long its condition lasted, until endS at the most.
func (a *Alarm) StoodS(endS float64) float64 {
	if a.GoneS == a.GoneS {
		return a.GoneS - a.RaisedS
	}
	return endS - a.RaisedS
}

// Entry is something that the operator did.
type Entry struct {
	S       float64
	Kind    wire.EntryKind
	Station string
	Value   float64 // K of a surface reading, Pa of a target, s of a reminder; else NaN
	Text    string
}

// Note is an event of cable, logger or log, in the monitor's own words.
type Note struct {
	S    float64
	Text string
}

// Sensor is how one channel did.
type Sensor struct {
	Channel  int
	Role     vessel.Role
	Kind     vessel.Kind
	Station  string
	Pressure bool // values are Pa, else K
	Offset   float64
	GoodS    float64
	Ill      []Ill   // worst first
	Noise    float64 // one sigma from sample to sample while nothing flowed
	Before   float64 // mean while vented before the first gas
	After    float64 // mean while vented after the last fill
	Least    float64
	Most     float64
}

// Drift is what a pressure sensor read more after the fills than before, vented
// both times. Of a thermometer nobody knows what it should have read.
func (s *Sensor) Drift() float64 {
	if !s.Pressure {
		return math.NaN()
	}
	return s.After - s.Before
}

// Ill is a time that a sensor could not be trusted, or only with doubt.
type Ill struct {
	Health probe.Health
	Doubt  bool
	S      float64 // how long in all
	FirstS float64
}

// Data is what came of the logger's readings.
type Data struct {
	Samples  uint64
	SpanS    float64 // from the first sample to the last
	RateHz   float64
	Gaps     int // silences longer than gapS
	GapMostS float64
	GapMostT float64 // when it began
	GapsS    float64 // all together
	Restarts int
	Lost     uint64
}

// Fills lists the fills of all parts.
func (r *Record) Fills() []*Fill {
	var all []*Fill
	for _, p := range r.Parts {
		all = append(all, p.Fills...)
	}
	return all
}
