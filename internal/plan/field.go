package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
)

// Field is one thing that may be said of a day: as an option, in a day's file, and
// on the screen.
type Field struct {
	Key     string // of the option and in the file
	Name    string // for people
	Example string
	About   string
	Text    func(d *Day, u quantity.System) string // "" where nobody said it
	Set     func(d *Day, text string) error
	Step    func(d *Day, by float64) // by some of the usual steps; nil: it is not stepped
}

// Fields are all that may be said, in the order in which they are asked.
func Fields() []Field {
	return append(weatherFields(), fillFields()...)
}

// FieldOf finds a field by its key.
func FieldOf(key string) (Field, bool) {
	for _, f := range Fields() {
		if f.Key == key {
			return f, true
		}
	}
	return Field{}, false
}

// ErrorIn says what is wrong with a field's text, and what would do.
func errorIn(text, wrong, expected, example string) error {
	return &quantity.ParseError{Text: text, Wrong: wrong, Expected: expected, Example: example}
}

// within refuses what is no number between two, or is not one at all.
func within(text string, x, least, most float64, expected, example string) error {
	if x >= least && x <= most {
		return nil
	}
	return errorIn(text, "is not possible", expected, example)
}

// The air of any pad: the coldest and the hottest measured on the earth lie at
// -90 and 57 °C (WMO archive, from memory); nobody fills beyond these.
var (
	airLeast = float64(quantity.Celsius(-40))
	airMost  = float64(quantity.Celsius(60))
)

const (
	sunMostWM2  = 1400.0 // the sun outside of the air sends 1361 (Kopp & Lean 2011, from memory)
	windMostMS  = 40.0
	standMostIn = 24 * 3600.0
)

func parseAir(text string) (float64, error) {
	k, err := quantity.ParseTemperature(text)
	if err != nil {
		return 0, err
	}
	return float64(k), within(text, float64(k), airLeast, airMost, "air from -40 to 60 °C", "31 °C")
}

// speeds are the units of wind, in m/s.
var speeds = []struct {
	unit string
	ms   float64
}{{"m/s", 1}, {"km/h", 1 / 3.6}, {"kn", 1852.0 / 3600}, {"mph", 0.44704}, {"ft/s", 0.3048}}

func parseWind(text string) (float64, error) {
	expected := "a wind from 0 to 40 m/s with its unit (m/s, km/h, kn, mph, ft/s)"
	for _, u := range speeds {
		if number, ok := strings.CutSuffix(strings.TrimSpace(text), u.unit); ok {
			x, err := quantity.ParseNumber(strings.TrimSpace(number))
			if err != nil {
				return 0, errorIn(text, "is no wind", expected, "3 m/s")
			}
			return x * u.ms, within(text, x*u.ms, 0, windMostMS, expected, "3 m/s")
		}
	}
	return 0, errorIn(text, "has no unit of wind", expected, "3 m/s")
}

// parseShare reads "40 %" or 0.4.
func parseShare(text, expected, example string) (float64, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	x, err := quantity.ParseNumber(strings.TrimSpace(number))
	if err != nil {
		return 0, errorIn(text, "is no share", expected, example)
	}
	if percent {
		x /= 100
	}
	return x, within(text, x, 0, 1, expected, example)
}

// setSun reads a measured sun, "shade" or "clear".
func setSun(d *Day, text string) error {
	expected := `W/m² on a face square to the sun (0 to 1400), "shade", or "clear" with --place, --date and --time`
	switch strings.TrimSpace(text) {
	case "shade":
		d.SayShade()
		return nil
	case "clear":
		d.SayClear()
		return nil
	}
	number := strings.TrimSpace(text)
	for _, unit := range []string{"W/m²", "W/m2"} {
		number = strings.TrimSpace(strings.TrimSuffix(number, unit))
	}
	x, err := quantity.ParseNumber(number)
	if err != nil {
		return errorIn(text, "is no sun", expected, "850 W/m²")
	}
	if err := within(text, x, 0, sunMostWM2, expected, "850 W/m²"); err != nil {
		return err
	}
	d.SaySun(x)
	return nil
}

func setPlace(d *Day, text string) error {
	expected := "latitude and longitude in degrees, north and east positive, at most 90 and 180"
	lat, lon, two := strings.Cut(text, ",")
	x, err1 := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	y, err2 := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	if !two || err1 != nil || err2 != nil {
		return errorIn(text, "is no place", expected, "47.5, 9.7")
	}
	p := d.Place
	p.LatitudeDeg, p.LongitudeDeg = x, y
	if !p.Possible() {
		return errorIn(text, "is not on the earth", expected, "47.5, 9.7")
	}
	d.Place, d.PlaceSaid = p, true
	return nil
}

func setDate(d *Day, text string) error {
	expected := "a day of the years 1901 to 2099, year-month-day"
	m := d.Date
	var rest string
	if n, _ := fmt.Sscanf(strings.TrimSpace(text)+" .", "%4d-%2d-%2d %s", &m.Year, &m.Month, &m.Day, &rest); n != 4 || rest != "." {
		return errorIn(text, "is no date", expected, "2026-07-14")
	}
	if !m.Possible() {
		return errorIn(text, "is not in the calendar", expected, "2026-07-14")
	}
	d.Date = m
	return nil
}

func parseHour(text string) (float64, error) {
	expected := "a time of day from 0:00 to 24:00"
	h, m, _ := strings.Cut(strings.TrimSpace(text), ":")
	if m == "" {
		m = "0"
	}
	hours, err1 := strconv.Atoi(h)
	minutes, err2 := strconv.Atoi(m)
	if err1 != nil || err2 != nil || minutes < 0 || minutes > 59 {
		return 0, errorIn(text, "is no time of day", expected, "14:30")
	}
	at := float64(hours) + float64(minutes)/60
	return at, within(text, at, 0, 24, expected, "14:30")
}

// setAirDay reads the air over the day, "6:00 18 °C, 15:00 33 °C".
func setAirDay(d *Day, text string) error {
	var list []AirAt
	for _, part := range strings.Split(text, ",") {
		hour, air, two := strings.Cut(strings.TrimSpace(part), " ")
		if !two {
			return errorIn(text, "is no course of the air", "times of day, each with its air, in order", "6:00 18 °C, 15:00 33 °C")
		}
		h, err := parseHour(hour)
		if err != nil {
			return err
		}
		k, err := parseAir(air)
		if err != nil {
			return err
		}
		if n := len(list); n > 0 && h <= list[n-1].Hour {
			return errorIn(text, "goes back in time", "times of day in order", "6:00 18 °C, 15:00 33 °C")
		}
		list = append(list, AirAt{h, k})
	}
	d.AirDay = list
	return nil
}

func setHeading(d *Day, text string) error {
	expected := "where the vessel's axis points, 0 to 360 degrees from north eastward"
	x, err := quantity.ParseNumber(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "°")))
	if err != nil {
		return errorIn(text, "is no heading", expected, "90")
	}
	if err := within(text, x, 0, 360, expected, "90"); err != nil {
		return err
	}
	d.Heading = x * math.Pi / 180
	return nil
}

func setTested(d *Day, text string) error {
	expected := "the pressure of the test and the wall's temperature at it"
	pressure, wall, two := strings.Cut(text, " at ")
	if !two {
		return errorIn(text, "is no test", expected, "60 bar at 18 °C")
	}
	p, err := quantity.ParsePressure(pressure)
	if err != nil {
		return err
	}
	k, err := quantity.ParseTemperature(wall)
	if err != nil {
		return err
	}
	if !(p > 0) {
		return errorIn(text, "has no pressure", expected, "60 bar at 18 °C")
	}
	d.TestedPa, d.TestedK = float64(p), float64(k)
	return nil
}
