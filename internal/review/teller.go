package review

import (
	"math"

	"fillwright/internal/course"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Teller draws up a Record from the inputs of a recording and the Snapshots
// after them, in their order. It is for one goroutine.
type Teller struct {
	record Record
	now    *telling
}

// telling is the part that is being told.
type telling struct {
	part     *Part
	alarms   alarmBook
	fill     *filling        // nil: none is under way
	before   [preRows]moment // the time before a fill, a ring
	ahead    int
	last     monitor.Snapshot
	sensors  sensorBook
	data     dataBook
	ready    readyBook
	goodPa   float64        // the last pressure that was known
	standing recording.Hand // hand-held readings that can be taken back
	values   [columnCount]float64
}

type moment struct {
	s      float64
	values [columnCount]float64
}

// The course of a fill begins so long before its first gas.
const (
	preS     = 60.0
	preRows  = 256
	preEvery = preS / (preRows - 8)
)

// NewTeller makes a Teller.
func NewTeller() *Teller { return new(Teller) }

// Begin says that a part begins, watched with this profile.
func (t *Teller) Begin(v *vessel.Profile) {
	t.end()
	p := &Part{Vessel: vesselOf(v), Course: course.New[float32](columnCount)}
	t.record.Parts = append(t.record.Parts, p)
	t.now = &telling{part: p, alarms: newAlarmBook(), goodPa: math.NaN(),
		data: dataBook{firstS: math.NaN(), last: math.NaN(), d: Data{GapMostT: math.NaN()}}}
	t.now.last.Summary = monitor.NoSummary()
}

// Add takes an input and the Snapshot after it.
func (t *Teller) Add(f wire.Frame, s *monitor.Snapshot) {
	n := t.now
	if n == nil {
		return
	}
	switch f.Type {
	case wire.TypeLogStart:
		n.start(f.Body)
	case wire.TypeEntry:
		n.entry(f.Body, s)
	case wire.TypeSample:
		n.data.sample(s.TimeS)
		n.sensors.add(s)
	}
	if n.part.UnixMS == 0 {
		n.part.UnixMS = s.UnixMS // of a log whose start did not know the time
	}
	n.step(s)
	n.last = *s
}

// Done ends the record.
func (t *Teller) Done(file File) *Record {
	t.end()
	t.record.File = file
	if n := len(t.record.Parts); n > 0 {
		t.record.Parts[n-1].Data.Lost = file.Counts.Lost // the decoder counts over the whole file
	}
	return &t.record
}

func (n *telling) start(body []byte) {
	var v wire.LogStart
	if wire.ParseLogStart(body, &v) == nil {
		n.part.UnixMS, n.part.App, n.part.Version = v.UnixMS, v.App.String(), int(v.Version)
	}
}

// step takes a Snapshot in.
func (n *telling) step(s *monitor.Snapshot) {
	if s.PressurePa == s.PressurePa {
		n.goodPa = s.PressurePa
	}
	n.phases(s)
	n.ready.look(s)
	raised := n.alarms.look(s)
	n.notes(s)
	n.course(s)
	n.follow(s, raised)
	n.part.EndS = s.TimeS
}

// phases notes what the vessel does.
func (n *telling) phases(s *monitor.Snapshot) {
	list := &n.part.Phases
	if k := len(*list); k > 0 {
		p := &(*list)[k-1]
		p.ToS, p.ToPa = s.TimeS, n.goodPa
		if p.Phase == s.Phase {
			return
		}
	}
	switch {
	case s.Phase == phase.Unknown && len(*list) == 0:
	case len(*list) >= phasesMost:
		n.part.Left.Phases++
	default:
		*list = append(*list, Phase{s.Phase, s.TimeS, s.TimeS, n.goodPa, n.goodPa})
	}
}

// notes takes up events of cable, logger and log.
func (n *telling) notes(s *monitor.Snapshot) {
	for _, e := range s.EventsSince(n.last.EventCount) {
		if e.Kind != monitor.EventLink && e.Kind != monitor.EventRestart {
			continue
		}
		if len(n.part.Notes) >= notesMost {
			n.part.Left.Notes++
			continue
		}
		n.part.Notes = append(n.part.Notes, Note{e.TimeS, e.Text.String()})
	}
}

// course adds the moment to the courses.
func (n *telling) course(s *monitor.Snapshot) {
	v := &n.values
	n.fillValues(s)
	n.part.Course.Add(s.TimeS, v[:])
	if n.fill != nil {
		n.fill.fill.Course.Add(s.TimeS, v[:])
		return
	}
	at := &n.before[n.ahead%preRows]
	if prev := &n.before[(n.ahead+preRows-1)%preRows]; n.ahead > 0 && s.TimeS-prev.s < preEvery {
		return
	}
	at.s, at.values = s.TimeS, *v
	n.ahead++
}

// fillValues puts the Snapshot's numbers into the columns.
func (n *telling) fillValues(s *monitor.Snapshot) {
	v := &n.values
	for i := range v {
		v[i] = math.NaN()
	}
	v[Pressure], v[RampNow], v[Gas], v[Bead], v[Ambient] = s.PressurePa, s.RampPaS, s.GasK, s.BeadK, s.AmbientK
	v[GasLow], v[GasHigh] = s.GasK-s.GasBandK, s.GasK+s.GasBandK
	v[HottestK], v[HottestLow], v[HottestHigh], v[Margin] = s.HottestK, s.HottestK-s.BandK, s.HottestK+s.BandK, s.MarginK
	if s.Phase == phase.Filling {
		v[RampAdvised] = advised(s)
	} else {
		v[RampNow] = math.NaN() // nothing comes in: what cools is no ramp
	}
	for i := range s.Stations {
		if i >= stationsMost {
			break
		}
		st := &s.Stations[i]
		v[Of(i, Outer)], v[Of(i, Sensed)], v[Of(i, Off)] = st.OuterK, st.SensorK, st.SensorK-st.OuterK
	}
}

// advised is the ramp that the advice allows, 0 where it asks for no gas.
func advised(s *monitor.Snapshot) float64 {
	if !s.Advice.Verdict.AsksForGas() || math.IsNaN(s.Advice.RampPaS) {
		return 0
	}
	return s.Advice.RampPaS
}

// end closes the part under way.
func (t *Teller) end() {
	n := t.now
	if n == nil {
		return
	}
	if n.fill != nil {
		n.close(&n.last)
	}
	p := n.part
	p.Alarms, p.Left.Alarms = n.alarms.done(), n.alarms.left
	for _, f := range p.Fills {
		f.count(p.Alarms)
	}
	p.Model = n.last.Model
	p.Board, p.BoardHas = n.last.Link.Board, n.last.Link.BoardKnown
	p.Sensors = n.sensors.done(n.last.Sensors, &p.Offsets)
	p.Data = n.data.done()
	p.Data.Restarts = n.last.Link.Restarts
	t.now = nil
}
