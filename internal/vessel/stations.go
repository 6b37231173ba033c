package vessel

import (
	"fmt"
	"math"
)

// StationDefault is the name of the only station when the profile has none.
const StationDefault = "wall"

const (
	stationNameMost = 16
	shareSlack      = 0.005 // three stations of 0.333 are meant to be the whole
)

// readStations reads [[station]]; there is always at least one afterwards.
func readStations(d *Document) []Station {
	list := d.List("station")
	if len(list) == 0 {
		return []Station{{Name: StationDefault, AreaFraction: 1, Absorptance: math.NaN()}}
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
		st.AreaFraction, _ = s.Number("area_fraction", 1e-3, 1, "area_fraction = 0.5")
		st.Absorptance, _ = s.Number("absorptance", 0, 1, "absorptance = 0.3")
		stations = append(stations, st)
	}
	shareOut(list, stations)
	return stations
}

// shareOut fills in equal shares where none is given, and checks and
// normalizes given ones.
func shareOut(list []*Section, stations []Station) {
	given, sum := 0, 0.0
	for i, s := range list {
		if s.Has("area_fraction") {
			given++
			sum += stations[i].AreaFraction
		}
	}
	equal := 1 / float64(len(stations))
	example := fmt.Sprintf("area_fraction = %.4g", equal)
	switch {
	case given == 0:
		sum = 1
		for i := range stations {
			stations[i].AreaFraction = equal
		}
	case given < len(stations):
		for _, s := range list {
			if !s.Has("area_fraction") {
				s.Problem("area_fraction", "is missing, though another station has one",
					"one for every station, or none at all for equal shares", example)
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

func isStationName(s string) bool {
	for i, r := range s {
		letter := r >= 'a' && r <= 'z'
		if !letter && (i == 0 || r != '-' && (r < '0' || r > '9')) {
			return false
		}
	}
	return len(s) <= stationNameMost
}
