package runlog

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"fillwright/internal/learn"
	"fillwright/internal/probe"
	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

var nan = math.NaN()

// fillSamplesMost is the most samples of one fill: 11 hours at 50 Hz.
const fillSamplesMost = 2_000_000

// Fill is a recorded fill as series over time, in SI units, with what a fit has
// no use for. All series are as long as TimeS; a missing reading, and one that
// is not known to be good, is NaN. Wall is nil for a station that has no sensor,
// or one that never read well.
type Fill struct {
	learn.Fill
	Problems []error // channels of the profile that can't be read, and why
}

// ReadFill reads a fill from a run log, a capture or a CSV file. P may be nil
// for a run log that holds its own profile. Offsets belong to the logger's raw
// values; a CSV file's are finished and get none.
func ReadFill(path string, p *vessel.Profile, off *probe.Offsets) (*Fill, error) {
	var stations []vessel.Station
	if p != nil {
		stations = p.Stations
	}
	r, err := Open(path, stations)
	if err != nil {
		return nil, err
	}
	fill, err := readFill(r, p, off)
	return fill, errors.Join(err, r.Close())
}

func readFill(r *Reader, p *vessel.Profile, off *probe.Offsets) (*Fill, error) {
	p, err := r.ProfileFor(p)
	if err != nil {
		return nil, err
	}
	if r.Kind() == FileCSV {
		off = nil
	}
	fill := &Fill{Fill: learn.Fill{Name: filepath.Base(r.Name())}}
	play := recording.Playback{Bank: probe.NewBank(p, off), Stations: len(p.Stations)}
	err = recording.Each(r, func(f wire.Frame) error {
		switch h := play.Step(f); {
		case h.First:
			fill.Problems = h.Problems
		case h.Fresh:
			fill.addRow(p, h.TimeS, play.Bank.Readings())
		case h.Reading >= 0:
			fill.addEntry(&h, play.Time.NowS())
		}
		if len(fill.TimeS) > fillSamplesMost {
			return &wrongfile.Error{File: r.Name(), What: fmt.Sprintf("holds more than %d samples, too many for one fill", fillSamplesMost),
				Do: "thin it: fillwright export --every 1s " + shellQuote(r.Name())}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	fill.dropBlankWalls()
	if len(fill.TimeS) == 0 {
		return nil, &wrongfile.Error{File: r.Name(), What: "holds no sample that could be read", Do: recordingWanted}
	}
	return fill, nil
}

// addRow adds the present readings to every series.
func (fill *Fill) addRow(p *vessel.Profile, timeS float64, readings []probe.Reading) {
	n := len(fill.TimeS)
	fill.TimeS = append(fill.TimeS, timeS)
	for _, s := range fill.series() {
		*s = append(*s, nan)
	}
	for i := range readings {
		var s []float64
		switch r := &readings[i]; r.Role {
		case vessel.RolePressure:
			s = fill.PressurePa
		case vessel.RoleGas: // the first of two
			if _, second := p.GasProbes(); second == nil || r.Channel != second.Index {
				s = fill.GasK
			}
		case vessel.RoleAmbient:
			s = fill.AmbientK
		case vessel.RoleSupply:
			if s = fill.SupplyPa; !r.Kind.Pressure() {
				s = fill.SupplyK
			}
		case vessel.RoleWall:
			if at := p.StationIndex(r.Station); at >= 0 {
				s = fill.Wall[at]
			}
		}
		if s != nil {
			s[n] = good(&readings[i])
		}
	}
}

// series lists every series but the time.
func (fill *Fill) series() []*[]float64 {
	all := []*[]float64{&fill.PressurePa, &fill.GasK, &fill.AmbientK, &fill.SupplyPa, &fill.SupplyK}
	for i := range fill.Wall {
		all = append(all, &fill.Wall[i])
	}
	return all
}

// addEntry takes up a hand-held reading, or takes one back: the last here, for
// none before it can be.
func (fill *Fill) addEntry(h *recording.Heard, timeS float64) {
	if h.Entry.Kind == wire.EntryUndo {
		fill.Surface = fill.Surface[:len(fill.Surface)-1]
		return
	}
	fill.Surface = append(fill.Surface, learn.Surface{TimeS: timeS, Station: h.Station, K: float64(h.Entry.Value)/1000 + 273.15})
}

// dropBlankWalls makes nil of the stations that never had a reading.
func (fill *Fill) dropBlankWalls() {
	for i, series := range fill.Wall {
		if !slices.ContainsFunc(series, func(k float64) bool { return !math.IsNaN(k) }) {
			fill.Wall[i] = nil
		}
	}
}
