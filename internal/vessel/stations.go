package vessel

import (
	"fmt"
	"math"
	"slices"
)

// StationDefault is the name of the only station when the profile has none.
const StationDefault = "wall"

const (
	stationNameMost = 16
	shareSlack      = 0.005 // three stations of 0.333 are meant to be the whole
)

// Where a station lies that says nothing of it but its name.
const (
	NameSun   = "sun"   // on the sunniest line
	NameShade = "shade" // opposite
)

// readStations reads [[station]]; there is always at least one afterwards.
func readStations(d *Document) []Station {
	list := d.List("station")
	nan := math.NaN()
	if len(list) == 0 {
		return []Station{{Name: StationDefault, OffSunDeg: nan, AreaFraction: nan, Absorptance: nan}}
	}
	if len(list) > StationsMost {
		list[StationsMost].Problem("name", fmt.Sprintf("is station number %d", StationsMost+1),
			fmt.Sprintf("at most %d stations", StationsMost), "")
	}
	stations := make([]Station, 0, len(list))
	for _, s := range list {
		st := Station{Name: s.Text("name", `name = "sun"`)}
		if st.Name != "" && !isStationName(st.Name) {
			s.Problem("name", fmt.Sprintf("%q can't be a station's name", clip(st.Name)),
				fmt.Sprintf("at most %d small letters, digits and hyphens, a letter first (it stands in column names)", stationNameMost),
				`name = "sun"`)
		}
		for _, other := range stations {
			if other.Name == st.Name && st.Name != "" {
				s.Problem("name", fmt.Sprintf("%q is taken by an earlier station", st.Name),
					"a name of its own", `name = "shade"`)
			}
		}
		st.OffSunDeg = offSun(s, st.Name)
		st.AreaFraction, _ = s.Number("area_fraction", 1e-3, 1, "area_fraction = 0.32")
		st.Absorptance, _ = s.Number("absorptance", 0, 1, "absorptance = 0.3")
		st.End = choose(s, "end", End(s.TextOr("end", `end = "far"`)), ends)
		stations = append(stations, st)
	}
	shareOut(list, stations)
	return stations
}

var ends = []End{EndInlet, EndFar}

// offSun is how far round from the sunniest line a station lies, by its key or
// by its name; NaN: not known.
func offSun(s *Section, name string) float64 {
	deg, given := s.Number("off_sun_deg", 0, 180, "off_sun_deg = 30")
	switch {
	case given || s.Has("off_sun_deg"):
		return deg
	case name == NameSun:
		return 0
	case name == NameShade:
		return 180
	}
	return math.NaN()
}

// shareOut checks shares that are given, and normalizes them.
func shareOut(list []*Section, stations []Station) {
	given, sum := 0, 0.0
	for i, s := range list {
		if s.Has("area_fraction") {
			given++
			sum += stations[i].AreaFraction
		}
	}
	example := fmt.Sprintf("area_fraction = %.4g", 1/float64(len(stations)))
	switch {
	case given == 0:
		return
	case given < len(stations):
		for _, s := range list {
			if !s.Has("area_fraction") {
				s.Problem("area_fraction", "is missing, though another station has one",
					"one for every station, or none at all: then a beam on a tube decides", example)
			}
		}
	case math.Abs(sum-1) > shareSlack:
		list[0].Problem("area_fraction", fmt.Sprintf("and those of the other stations sum to %.4g", sum),
			"shares of the inner surface that sum to 1", example)
	}
	for i := range stations {
		stations[i].AreaFraction /= sum
	}
}

// SunShare is the share of the surface that stands for the sunny side where
// somebody wrote it himself; NaN where the geometry decides.
func (p *Profile) SunShare() float64 {
	for i := range p.Stations {
		if p.Stations[i].OffSunDeg == 0 {
			return p.Stations[i].AreaFraction
		}
	}
	return math.NaN()
}

// ReadsFarEnd says whether a station lies at the end away from the inlet.
func (p *Profile) ReadsFarEnd() bool {
	return slices.ContainsFunc(p.Stations, func(s Station) bool { return s.End == EndFar })
}

func isStationName(s string) bool {
	for i, r := range s {
		letter := r >= 'a' && r <= 'z'
		if !letter && (i == 0 || r != '-' && (r < '0' || r > '9')) {
			return false
		}
	}
	return len(s) <= stationNameMost
}
