package weather

import "math"

// Place is a place on the earth.
type Place struct {
	LatitudeDeg  float64 // north positive
	LongitudeDeg float64 // east positive
}

// Possible says whether there is such a place.
func (p Place) Possible() bool {
	return math.Abs(p.LatitudeDeg) <= 90 && math.Abs(p.LongitudeDeg) <= 180
}

// Moment is a moment of universal time.
type Moment struct {
	Year, Month, Day int
	HourUTC          float64 // may lie outside 0 to 24: the day before or after
}

var monthDays = [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// Possible says whether the calendar has such a day, from 1901 to 2099, in which
// every fourth year is a leap year.
func (m Moment) Possible() bool {
	if m.Year < 1901 || m.Year > 2099 || m.Month < 1 || m.Month > 12 || m.Day < 1 {
		return false
	}
	most := monthDays[m.Month-1]
	if m.Month == 2 && m.Year%4 == 0 {
		most++
	}
	return m.Day <= most
}

// JulianDay counts days from noon of the first day of -4712 (Meeus, Astronomical
// Algorithms, ch. 7).
func (m Moment) JulianDay() float64 {
	y, mo := float64(m.Year), float64(m.Month)
	if mo <= 2 {
		y, mo = y-1, mo+12
	}
	a := math.Floor(y / 100)
	b := 2 - a + math.Floor(a/4)
	return math.Floor(365.25*(y+4716)) + math.Floor(30.6001*(mo+1)) + float64(m.Day) + b - 1524.5 + m.HourUTC/24
}

// Sun is where the sun stands.
type Sun struct {
	HeightRad  float64 // over the horizon, without refraction
	AzimuthRad float64 // from north, eastward
}

// deltaTDays is terrestrial minus universal time: 64 s in 2000, 69 s in 2020
// (from memory). A minute moves the sun by 0.0007 degrees among the stars.
const deltaTDays = 67.0 / 86400

// SunAt is where the sun stands, to 0.01 degrees (Meeus, ch. 25, low accuracy;
// refraction, up to half a degree at the horizon, is left out).
func SunAt(p Place, m Moment) Sun {
	jd := m.JulianDay()
	t := (jd + deltaTDays - 2451545) / 36525
	mean := deg(280.46646 + t*(36000.76983+0.0003032*t))
	anomaly := deg(357.52911 + t*(35999.05029-0.0001537*t))
	centre := deg((1.914602-t*(0.004817+0.000014*t))*math.Sin(anomaly) +
		(0.019993-0.000101*t)*math.Sin(2*anomaly) + 0.000289*math.Sin(3*anomaly))
	node := deg(125.04 - 1934.136*t)
	longitude := mean + centre - deg(0.00569+0.00478*math.Sin(node))
	tilt := deg(23.4392911-t*(0.0130042+1.64e-7*t)) + deg(0.00256)*math.Cos(node)
	rightAscension := math.Atan2(math.Cos(tilt)*math.Sin(longitude), math.Cos(longitude))
	declination := math.Asin(math.Sin(tilt) * math.Sin(longitude))

	ut := (jd - 2451545) / 36525
	sidereal := deg(280.46061837 + 360.98564736629*(jd-2451545) + 0.000387933*ut*ut)
	hour := sidereal + deg(p.LongitudeDeg) - rightAscension
	lat := deg(p.LatitudeDeg)
	height := math.Asin(math.Sin(lat)*math.Sin(declination) + math.Cos(lat)*math.Cos(declination)*math.Cos(hour))
	fromSouth := math.Atan2(math.Sin(hour), math.Cos(hour)*math.Sin(lat)-math.Tan(declination)*math.Cos(lat))
	return Sun{HeightRad: height, AzimuthRad: math.Mod(fromSouth+3*math.Pi, 2*math.Pi)}
}

// AirMass is how many times the zenith's air the light comes through (Kasten &
// Young 1989, from memory); +Inf under the horizon.
func (s Sun) AirMass() float64 {
	if s.HeightRad <= 0 {
		return math.Inf(1)
	}
	return 1 / (math.Sin(s.HeightRad) + 0.50572*math.Pow(Degrees(s.HeightRad)+6.07995, -1.6364))
}

// Sunlight is what of the sun arrives, W/m².
type Sunlight struct {
	BeamWM2    float64 // on a face square to the sun
	DiffuseWM2 float64 // from the whole sky, on level ground
}

// A clear sky sends this share of the beam besides, on level ground: 0.1 to 0.15
// (common practice, no source).
const diffuseShare = 0.12

// SeaLevelPa is the standard atmosphere's (ICAO Doc 7488).
const SeaLevelPa = 101325.0

// Clear is the light of a clear sky at a place with airPa of air above it:
// G_b = 1353 · 0.7^(AM^0.678) (Meinel & Meinel 1976, from memory).
func (s Sun) Clear(airPa float64) Sunlight {
	am := s.AirMass() * airPa / SeaLevelPa
	if math.IsInf(am, 1) {
		return Sunlight{}
	}
	beam := 1353 * math.Pow(0.7, math.Pow(am, 0.678))
	return Sunlight{BeamWM2: beam, DiffuseWM2: diffuseShare * beam}
}

// Measured is the light of which somebody measured g W/m² on a face square to
// the sun: the beam and what of the sky such a face sees, taken as all of it.
func Measured(g float64) Sunlight {
	beam := g / (1 + diffuseShare)
	return Sunlight{BeamWM2: beam, DiffuseWM2: g - beam}
}
