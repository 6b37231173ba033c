package runlog

import (
	"errors"

	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wrongfile"
)

// IsCSV says whether a recording is a table, by a look at its beginning.
func IsCSV(path string) (bool, error) {
	f, size, err := OpenFile(path)
	if err != nil {
		return false, err
	}
	r := &Reader{name: path, data: f, size: size, buf: make([]byte, readMost)}
	err = r.sniff()
	return r.kind == FileCSV, errors.Join(err, f.Close())
}

// SurveyCSV reads a table to its end. P may be nil: then nothing is held
// against the vessel. Told, which may be nil, hears how much was read.
func SurveyCSV(path string, p *vessel.Profile, told func(share float64)) (*table.Survey, error) {
	var stations []vessel.Station
	if p != nil {
		stations = p.Stations
	}
	r, err := Open(path, stations)
	if err != nil {
		return nil, err
	}
	if r.csv == nil {
		err = &wrongfile.Error{File: r.name, What: "is no CSV file but a " + r.Kind().String(), Do: "it can be used as it is: fillwright replay " + r.name}
		return nil, errors.Join(err, r.Close())
	}
	s, err := r.csv.Survey(p, func() {
		if told != nil {
			told(r.Share())
		}
	})
	return s, errors.Join(err, r.Close())
}
