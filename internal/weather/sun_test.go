package weather

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// TestSunPlace proves that the sun stands where the worked example of
// NREL/TP-560-34302 (Reda & Andreas) has it, to 0.01 degrees.
func TestSunPlace(t *testing.T) {
	const file = "solar_position_check.csv"
	s := SunAt(Place{39.742476, -105.1786}, Moment{2003, 10, 17, 19 + 30.0/60 + 30.0/3600})
	near(t, "zenith, degrees", 90-Degrees(s.HeightRad), value(t, file, "zenith without refraction"), 0.01)
	near(t, "azimuth, degrees", Degrees(s.AzimuthRad), value(t, file, "azimuth"), 0.01)
	near(t, "Julian day", Moment{2003, 10, 17, 19 + 30.0/60 + 30.0/3600}.JulianDay(), value(t, file, "julian day"), 1e-6)
}

// TestSunrise proves that the same example's sunrise and sunset, which count a
// sun 0.833 degrees under the horizon, come within half a minute. Its sunset is that
// of the day of universal time, the evening before by local time.
func TestSunrise(t *testing.T) {
	for _, c := range []struct {
		what string
		hour float64 // UTC; local time is 7 h less
	}{{"sunrise", 13 + 12.0/60 + 43.0/3600}, {"sunset", 20.0/60 + 19.0/3600}} {
		s := SunAt(Place{39.742476, -105.1786}, Moment{2003, 10, 17, c.hour})
		near(t, "height at "+c.what, Degrees(s.HeightRad), -0.833, 0.1) // half a minute is 0.1 degrees
	}
}

// TestSunTurns proves what holds everywhere: height within its range, azimuth a
// full circle, and the sun highest to the south or north at local noon.
func TestSunTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Place{rapid.Float64Range(-89, 89).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")}
		m := Moment{rapid.IntRange(1990, 2060).Draw(t, "year"), rapid.IntRange(1, 12).Draw(t, "month"), rapid.IntRange(1, 28).Draw(t, "day"), rapid.Float64Range(0, 24).Draw(t, "hour")}
		s := SunAt(p, m)
		must.Need(t, math.Abs(s.HeightRad) <= math.Pi/2 && s.AzimuthRad >= 0 && s.AzimuthRad <= 2*math.Pi, "sun at %+v", s)
		l := s.Clear(SeaLevelPa)
		must.Need(t, l.BeamWM2 >= 0 && l.BeamWM2 < 1100, "beam %g W/m² at height %g", l.BeamWM2, Degrees(s.HeightRad))
	})
}

// TestClearSky proves air mass against Kasten & Young's printed values (1.995 at
// 60° from the zenith, 37.9 at the horizon; from memory) and the beam against the
// reference spectrum of ASTM G173 at air mass 1.5, 900 W/m² (from memory), within
// the tenth by which clear skies differ.
func TestClearSky(t *testing.T) {
	near(t, "air mass at the zenith", Sun{HeightRad: math.Pi / 2}.AirMass(), 1, 0.001)
	near(t, "air mass at 30 degrees", Sun{HeightRad: deg(30)}.AirMass(), 1.995, 0.002)
	near(t, "air mass at the horizon", Sun{HeightRad: 1e-9}.AirMass(), 37.9, 0.1)
	s := Sun{HeightRad: deg(41.81)} // air mass 1.5
	near(t, "beam at air mass 1.5", s.Clear(SeaLevelPa).BeamWM2, 900, 90)
	must.Equal(t, (Sun{HeightRad: -0.01}).Clear(SeaLevelPa), (Sunlight{}), "a sun under the horizon sends")
	near(t, "what was measured square on", Measured(900).BeamWM2+Measured(900).DiffuseWM2, 900, 1e-9)
}

// TestCalendar proves which days there are.
func TestCalendar(t *testing.T) {
	for _, c := range []struct {
		m    Moment
		want bool
	}{
		{Moment{2024, 2, 29, 0}, true}, {Moment{2023, 2, 29, 0}, false}, {Moment{2026, 4, 31, 0}, false},
		{Moment{2026, 13, 1, 0}, false}, {Moment{2026, 0, 1, 0}, false}, {Moment{1899, 1, 1, 0}, false}, {Moment{2026, 12, 31, 0}, true},
	} {
		must.Equal(t, c.m.Possible(), c.want, "%+v: possible", c.m)
	}
	must.Be(t, !(Place{91, 0}).Possible() && !(Place{0, -181}).Possible() && !(Place{math.NaN(), 0}).Possible() && (Place{-90, 180}).Possible(),
		"places that there are not, or the other way about")
}
