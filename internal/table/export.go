package table

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// entriesMost is the most hand-held readings of a recording.
const entriesMost = 1_000_000

// Export writes a recording, from its start, as CSV with the columns that
// NewReader reads: time_s, then pressure_bar (gauge), gas_c and gas_second_c (of a gas
// probe at the far end gas_far_c instead), ambient_c,
// wall_<station>_c, supply_bar and supply_c as far as p has a channel for them, and
// surface_<station>_c where a hand-held reading was taken. A reading that is
// missing or not known to be good is a blank cell.
//
// With everyS > 0, rows are at least so many seconds apart, except that each
// row with a hand-held reading is kept. A row holds the readings at its time,
// not averages; of several hand-held readings of one station in it, the last.
//
// P and off are those that belong to the frames: see ProfileFor, and no offsets
// for frames that came from a CSV file. Src is read twice, with a row in memory
// at a time.
func Export(w io.Writer, src recording.Rewinder, p *vessel.Profile, off *probe.Offsets, everyS float64) (Exported, error) {
	if !(everyS >= 0) {
		return Exported{}, fmt.Errorf("the time between rows is %g s; give a time of 0 s or more", everyS)
	}
	if err := src.Rewind(); err != nil {
		return Exported{}, err
	}
	kept, err := surveyEntries(src, len(p.Stations))
	if err == nil {
		err = src.Rewind()
	}
	if err != nil {
		return Exported{}, err
	}
	e := exporter{out: bufio.NewWriter(w), everyS: everyS, play: recording.Playback{Bank: probe.NewBank(p, off).Momentary(), Stations: len(p.Stations)}}
	e.layOut(p, kept)
	if err := recording.Each(src, func(f wire.Frame) error { e.step(f); return nil }); err != nil {
		return Exported{}, errors.Join(err, e.out.Flush())
	}
	e.flush()
	return Exported{Rows: e.rows, Problems: e.problems}, e.out.Flush()
}

// Exported says what was written.
type Exported struct {
	Rows     int
	Problems []error // channels of the profile that can't be read, and why
}

// entrySurvey says which hand-held readings count: those that were not taken
// back later.
type entrySurvey struct {
	stands   []bool // by their order in the recording
	stations [vessel.StationsMost]bool
}

func surveyEntries(src recording.Source, stations int) (*entrySurvey, error) {
	var s entrySurvey
	var at []int // station of each
	play := recording.Playback{Stations: stations}
	err := recording.Each(src, func(f wire.Frame) error {
		switch h := play.Step(f); {
		case h.Reading < 0:
		case h.Reading < len(at):
			s.stands[h.Reading] = false
		case len(at) == entriesMost:
			return fmt.Errorf("the recording holds more than %d surface readings", entriesMost)
		default:
			at, s.stands = append(at, h.Station), append(s.stands, true)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i, stands := range s.stands {
		if stands {
			s.stations[at[i]] = true
		}
	}
	return &s, nil
}

// exporter holds one row until the next sample, for the entries that come
// after a sample belong to it.
type exporter struct {
	out      *bufio.Writer
	play     recording.Playback
	everyS   float64
	cols     []exportColumn
	survey   *entrySurvey
	problems []error

	held    bool // there is a row in timeS and values
	timeS   float64
	values  []float64                    // of cols, SI
	marked  bool                         // there is something in surface
	surface [vessel.StationsMost]float64 // hand-held readings since the row before, K
	nextS   float64                      // when the next row is due
	rows    int
	line    []byte
}

type exportColumn struct {
	name    string
	role    vessel.Role // empty: a hand-held reading
	station string
	at      int // index of the station
	channel int // of a gas probe, of which there may be two; else -1
}

// layOut decides on the columns and writes the header.
func (e *exporter) layOut(p *vessel.Profile, survey *entrySurvey) {
	e.survey = survey
	add := func(name string, role vessel.Role, station string, at int) {
		e.cols = append(e.cols, exportColumn{name, role, station, at, -1})
	}
	if _, ok := p.ChannelOf(vessel.RolePressure); ok {
		add("pressure_bar", vessel.RolePressure, "", -1)
	}
	e.addGas(p.GasProbes())
	if _, ok := p.ChannelOf(vessel.RoleAmbient); ok {
		add("ambient_c", vessel.RoleAmbient, "", -1)
	}
	for i, s := range p.Stations {
		if _, ok := p.WallChannel(s.Name); ok {
			add("wall_"+s.Name+"_c", vessel.RoleWall, s.Name, i)
		}
	}
	for i, s := range p.Stations {
		if survey.stations[i] {
			add("surface_"+s.Name+"_c", "", s.Name, i)
		}
	}
	for _, c := range p.Channels {
		switch {
		case c.Role == vessel.RoleSupply && c.Kind.Pressure():
			add("supply_bar", vessel.RoleSupply, "", -1)
		case c.Role == vessel.RoleSupply:
			add("supply_c", vessel.RoleSupply, "", -1)
		}
	}
	e.values = make([]float64, len(e.cols))
	e.clearSurface()
	e.line = append(e.line[:0], "time_s"...)
	for _, c := range e.cols {
		e.line = append(append(e.line, ','), c.name...)
	}
	e.print()
}

// addGas adds a column for each gas probe.
func (e *exporter) addGas(first, second *vessel.Channel) {
	for i, probe := range []*vessel.Channel{first, second} {
		if probe == nil {
			continue
		}
		name := []string{"gas", gasSecond}[i]
		if probe.End == vessel.EndFar {
			name = gasFar
		}
		e.cols = append(e.cols, exportColumn{name + "_c", vessel.RoleGas, "", -1, probe.Index})
	}
}

// print writes the line. A failed write comes out of the final Flush.
func (e *exporter) print() {
	e.line = append(e.line, '\n')
	_, _ = e.out.Write(e.line) // bufio keeps the error for Flush
}

func (e *exporter) step(f wire.Frame) {
	switch h := e.play.Step(f); {
	case h.First:
		e.problems = h.Problems
	case h.Reading >= 0 && h.Entry.Kind == wire.EntrySurface && e.survey.stands[h.Reading]:
		e.surface[h.Station] = float64(h.Entry.Value)/1000 + 273.15
		e.marked = true
	case h.Fresh:
		e.flush()
		e.held, e.timeS = true, h.TimeS
		readings := e.play.Bank.Readings()
		for i, c := range e.cols {
			e.values[i] = c.pick(readings)
		}
	}
}

// pick finds a column's value: the first good reading of its role.
func (c *exportColumn) pick(readings []probe.Reading) float64 {
	if c.role == "" {
		return math.NaN()
	}
	for i := range readings {
		if r := &readings[i]; r.Role == c.role && r.Station == c.station && (c.channel < 0 || c.channel == r.Channel) && r.Kind.Pressure() == c.pressure() && r.Health == probe.HealthGood {
			return r.Value
		}
	}
	return math.NaN()
}

// flush prints the row held, when it is due.
func (e *exporter) flush() {
	due := e.timeS >= e.nextS-1e-9
	if !e.held || !due && !e.marked {
		return
	}
	if due && e.everyS > 0 {
		e.nextS = (math.Floor(e.timeS/e.everyS+1e-9) + 1) * e.everyS
	}
	e.line = strconv.AppendFloat(e.line[:0], e.timeS, 'f', 3, 64)
	for i, c := range e.cols {
		e.line = append(e.line, ',')
		v := e.values[i]
		if c.role == "" {
			v = e.surface[c.at]
		}
		if !math.IsNaN(v) {
			e.line = c.append(e.line, v)
		}
	}
	e.print()
	e.rows++
	e.clearSurface()
}

func (e *exporter) clearSurface() {
	e.marked = false
	for i := range e.surface {
		e.surface[i] = math.NaN()
	}
}

// pressure says whether the column holds one; its name ends in the unit.
func (c *exportColumn) pressure() bool { return strings.HasSuffix(c.name, "_bar") }

// append adds a value in the column's unit, as fine as the wire: 1 Pa, 1 m°C.
func (c *exportColumn) append(b []byte, v float64) []byte {
	if c.pressure() {
		return strconv.AppendFloat(b, quantity.Pressure(v).Bar(), 'f', 5, 64)
	}
	return strconv.AppendFloat(b, quantity.Temperature(v).C(), 'f', 3, 64)
}
