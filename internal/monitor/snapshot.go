// Package monitor turns inputs into Snapshots, one at a time and without
// clock, goroutine, I/O or randomness.
package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/leak"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/wording"
)

// Station is the estimate at one station. Unknown values are NaN.
type Station struct {
	Name     string
	OuterK   float64 // outer skin
	InnerK   float64 // inner face
	HottestK float64 // hottest cell
	BandK    float64 // two sigma of HottestK
	OutsideK float64 // outside equilibrium Te
	SensorK  float64 // attached sensor, as read
	SurfaceK float64 // last hand-held reading
	SurfaceS float64 // session time of it
}

// EventKind says what an event was.
type EventKind uint8

// Event kinds.
const (
	EventPhase EventKind = iota + 1
	EventAlarm
	EventEntry
	EventLink
	EventRestart
)

// Event is something worth a line in the record.
type Event struct {
	TimeS float64
	Kind  EventKind
	Text  wording.Text

	Refused  bool   // an entry that was turned down
	Accepted string // the name of the alarm that was accepted, or AllAlarms; empty: none was
}

// Link is the state of the data.
type Link struct {
	Up         bool
	AgeS       float64 // since the last good sample
	Restarts   int
	LogFailed  bool
	SampleHz   float64
	Lost       uint64
	Board      uint64
	BoardKnown bool
}

// Snapshot is everything that is known after one input. It is a value; the
// slices in it are never changed after it was made. Unknown numbers are NaN,
// temperatures K, pressures gauge Pa, ramps Pa/s, times seconds.
type Snapshot struct {
	Seq        uint64  // inputs so far
	TimeS      float64 // session time: 0 at the first sample, goes on over restarts
	UnixMS     int64   // host clock of the last clock frame, 0 unknown
	Phase      phase.Phase
	PhaseSince float64 // session time
	PressurePa float64
	TargetPa   float64 // operator's target: profile's, or as entered
	RampPaS    float64
	BeadK      float64 // gas probe as read
	SecondK    float64 // a second one, at another end
	GasK       float64 // bulk gas, estimated
	GasBandK   float64
	AmbientK   float64
	Stations   []Station
	Hottest    int     // index in Stations of the one that stands hottest, -1 unknown
	HottestK   float64 // hottest place of the whole wall, whether it is read or not
	BandK      float64 // two sigma of HottestK
	MarginK    float64 // onset − (hottest + band)
	GasMassKg  float64
	Sides      Sides // what a warm side does to the vessel, where its plies are known
	Advice     advise.Advice
	Outlook    advise.Outlook
	Leak       leak.Verdict   // a called one stands as it was called, until the vessel is vented
	VentSaid   bool           // the operator says that the vessel is being vented
	Alarms     []alarm.Active // worst first
	Level      alarm.Level    // worst of Alarms that is present or not accepted
	Sensors    []probe.Reading
	Link       Link
	Model      ModelNote
	Ready      []checklist.Item // before a fill, else nil
	Reminders  []Reminder
	Summary    Summary // of the fill under way or the last one
	Events     []Event // newest last, at most EventsMost
	EventCount uint64  // all events so far
}

// EventsMost is how many events a Snapshot carries.
const EventsMost = 64

// EventsSince are those that came after the first count of a session, as far as
// they are carried.
func (s *Snapshot) EventsSince(count uint64) []Event {
	fresh := min(s.EventCount-min(count, s.EventCount), uint64(len(s.Events)))
	return s.Events[uint64(len(s.Events))-fresh:]
}

// ModelNote says which wall model is in use and how far to trust it.
type ModelNote struct {
	Name    string       // "handbook values" or the learned model's name
	Variant string       // "lag", "lag-density", "layered", …
	Fills   int          // fills it was learned from
	Widened wording.Text // why the band is wider than usual, empty if it is not
	Fresh   bool         // Outlook and Advice were computed at this input
}

// copies are the slices that a Snapshot needs anew at every sample.
type copies struct {
	sensors  pages[probe.Reading]
	stations pages[Station]
}

// pages gives copies of slices that are never changed again, many of them out of
// one allocation.
type pages[T any] struct{ left []T }

const copiesOfPage = 32

func (p *pages[T]) of(s []T) []T {
	if len(p.left) < len(s) {
		p.left = make([]T, copiesOfPage*len(s))
	}
	out := p.left[:len(s):len(s)]
	p.left = p.left[len(s):]
	copy(out, s)
	return out
}

// Unknown is a Snapshot before the first input: no number in it is known.
func Unknown() Snapshot {
	nan := math.NaN()
	s := Snapshot{
		PressurePa: nan, TargetPa: nan, RampPaS: nan, BeadK: nan, SecondK: nan, GasK: nan, GasBandK: nan, AmbientK: nan,
		Hottest: -1, HottestK: nan, BandK: nan, MarginK: nan, GasMassKg: nan,
		Leak: leak.Unknown(), Sides: Sides{}.Unknown(), Summary: NoSummary(), Link: Link{AgeS: nan, SampleHz: nan},
	}
	s.Advice, s.Outlook = advise.Unknown(wording.WaitingForLogger)
	return s
}
