package plan

import (
	"fmt"
	"math"

	"fillwright/internal/quantity"
	"fillwright/internal/weather"
)

// text is nothing where a figure was not said.
func (f Figure) text(format func(float64) string) string {
	if !f.Said {
		return ""
	}
	return format(f.Value)
}

func known(x float64, format func(float64) string) string {
	if math.IsNaN(x) {
		return ""
	}
	return format(x)
}

func stepped(x, by, least, most float64) float64 { return math.Min(math.Max(x+by, least), most) }

// or is x, or another where x is not known.
func or(x, otherwise float64) float64 {
	if math.IsNaN(x) {
		return otherwise
	}
	return x
}

func parsed[T ~float64](set func(d *Day, x float64), parse func(string) (T, error), least, most float64, expected, example string) func(*Day, string) error {
	return func(d *Day, text string) error {
		x, err := parse(text)
		if err != nil {
			return err
		}
		if err := within(text, float64(x), least, most, expected, example); err != nil {
			return err
		}
		set(d, float64(x))
		return nil
	}
}

// weatherFields are what may be said of the day and the pad.
func weatherFields() []Field {
	humid, paint := "a relative humidity from 0 to 100 %", "the share of sunlight that the finish takes up, 0 to 1"
	return []Field{
		{"air", "air", "31 °C", "air in the shade at the hour of the fill",
			func(d *Day, u quantity.System) string { return d.Air.text(u.Temperature) },
			func(d *Day, text string) error {
				k, err := parseAir(text)
				if err == nil {
					d.SayAir(k)
				}
				return err
			},
			func(d *Day, by float64) { d.SayAir(stepped(d.Air.Value, by, airLeast, airMost)) }},
		{"sun", "sun", "850 W/m²", `sunlight on a face square to the sun in W/m², "shade", or "clear" for a clear sky at --place, --date and --time`,
			func(d *Day, _ quantity.System) string { return d.sunText() }, setSun,
			func(d *Day, by float64) { d.stepSun(by) }},
		{"wind", "wind", "3 m/s", "wind at the vessel",
			func(d *Day, _ quantity.System) string {
				return d.Wind.text(func(x float64) string { return fmt.Sprintf("%.1f m/s", x) })
			},
			func(d *Day, text string) error {
				x, err := parseWind(text)
				if err == nil {
					d.SayWind(x)
				}
				return err
			},
			func(d *Day, by float64) { d.SayWind(stepped(d.Wind.Value, 0.5*by, 0, windMostMS)) }},
		{"humidity", "humidity", "40 %", "relative humidity; it counts for a wet wrap",
			func(d *Day, _ quantity.System) string {
				return d.Humidity.text(func(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) })
			},
			func(d *Day, text string) error {
				x, err := parseShare(text, humid, "40 %")
				if err == nil {
					d.SayHumidity(x)
				}
				return err
			},
			func(d *Day, by float64) { d.SayHumidity(stepped(d.Humidity.Value, 0.05*by, 0, 1)) }},
		{"absorptance", "absorptance", "0.3", "share of sunlight that the finish takes up (without: the profile's)",
			func(d *Day, _ quantity.System) string {
				return d.Absorptance.text(func(x float64) string { return fmt.Sprintf("%.2f", x) })
			},
			func(d *Day, text string) error {
				x, err := parseShare(text, paint, "0.3")
				if err == nil {
					d.SayAbsorptance(x)
				}
				return err
			},
			func(d *Day, by float64) { d.SayAbsorptance(stepped(d.Absorptance.Value, 0.05*by, 0, 1)) }},
		{"stand", "stands before", "20 min", "how long it stands in this light before the first gas",
			func(d *Day, _ quantity.System) string { return d.StandS.text(minutesText) },
			parsed(func(d *Day, x float64) { d.SayStand(x) }, quantity.ParseSeconds, 0, standMostIn, "at most 24 h", "20 min"),
			func(d *Day, by float64) { d.SayStand(stepped(d.StandS.Value, 300*by, 0, standMostIn)) }},
		{"wall-sun", "read in sun", "44 °C", "contact reading of the sunny side just before the first gas",
			func(d *Day, u quantity.System) string { return known(d.WallSunK, u.Temperature) },
			parsed(func(d *Day, x float64) { d.WallSunK = x }, quantity.ParseTemperature, 200, 450, "a wall's temperature", "44 °C"),
			func(d *Day, by float64) { d.WallSunK = or(d.WallSunK, d.Air.Value) + by }},
		{"wall-shade", "read in shade", "33 °C", "contact reading of the shaded side just before the first gas",
			func(d *Day, u quantity.System) string { return known(d.WallShadeK, u.Temperature) },
			parsed(func(d *Day, x float64) { d.WallShadeK = x }, quantity.ParseTemperature, 200, 450, "a wall's temperature", "33 °C"),
			func(d *Day, by float64) { d.WallShadeK = or(d.WallShadeK, d.Air.Value) + by }},
		{"time", "time of day", "14:30", "local time of the fill",
			func(d *Day, _ quantity.System) string { return known(d.Hour, HourText) },
			func(d *Day, text string) error {
				h, err := parseHour(text)
				if err == nil {
					d.Hour = h
				}
				return err
			},
			func(d *Day, by float64) {
				if hour := stepped(or(d.Hour, 12), 0.5*by, 0, 24); math.IsNaN(d.Hour) {
					d.Hour = hour
				} else {
					*d = d.at(hour)
				}
			}},
		{"date", "date", "2026-07-14", "day of the fill",
			func(d *Day, _ quantity.System) string { return d.dateText() }, setDate, nil},
		{"place", "place", "47.5, 9.7", "latitude and longitude in degrees, north and east positive",
			func(d *Day, _ quantity.System) string {
				if !d.PlaceSaid {
					return ""
				}
				return fmt.Sprintf("%g, %g", d.Place.LatitudeDeg, d.Place.LongitudeDeg)
			}, setPlace, nil},
		{"utc", "hours from UTC", "+2", "local time less universal time, in hours (without: by the longitude)",
			func(d *Day, _ quantity.System) string {
				return known(d.UTCHours, func(x float64) string { return fmt.Sprintf("%+g", x) })
			},
			parsed(func(d *Day, x float64) { d.UTCHours = x }, quantity.ParseNumber, -12, 14, "hours from -12 to +14", "+2"), nil},
		{"air-day", "air over day", "6:00 18 °C, 15:00 33 °C", "air at several hours, for the remedy of another hour",
			func(d *Day, u quantity.System) string { return d.airDayText(u) }, setAirDay, nil},
		{"heading", "heading", "90", "where a lying vessel's axis points, degrees from north eastward",
			func(d *Day, _ quantity.System) string {
				return known(d.Heading, func(x float64) string { return fmt.Sprintf("%.0f°", weather.Degrees(x)) })
			}, setHeading, nil},
	}
}

// fillFields are what may be said of the fill and the supply.
func fillFields() []Field {
	pressure := "a pressure from 1 to 1000 bar"
	pa := func(set func(d *Day, x float64), example string) func(*Day, string) error {
		return parsed(set, quantity.ParsePressure, 1e5, 1000e5, pressure, example)
	}
	litres := func(x float64) string { return fmt.Sprintf("%.3g L", 1e3*x) }
	return []Field{
		{"target", "target", "40 bar", "pressure to fill to (without: the profile's)",
			func(d *Day, u quantity.System) string { return known(d.TargetPa, u.Pressure) },
			pa(func(d *Day, x float64) { d.TargetPa = x }, "40 bar"),
			func(d *Day, by float64) {
				if !math.IsNaN(d.TargetPa) {
					d.TargetPa = math.Max(1e5, d.TargetPa+1e5*by)
				}
			}},
		{"hold", "stands full", "15 min", "how long it shall stand full (without: the profile's)",
			func(d *Day, _ quantity.System) string { return known(d.HoldS, minutesText) },
			parsed(func(d *Day, x float64) { d.HoldS = x }, quantity.ParseSeconds, 0, standMostIn, "at most 24 h", "15 min"),
			func(d *Day, by float64) { d.HoldS = stepped(or(d.HoldS, 900), 300*by, 0, standMostS) }},
		{"supply", "supply", "200 bar", "pressure in the supply cylinder",
			func(d *Day, u quantity.System) string { return known(d.SupplyPa, u.Pressure) },
			pa(func(d *Day, x float64) { d.SupplyPa = x }, "200 bar"),
			func(d *Day, by float64) { d.SupplyPa = math.Max(1e6, or(d.SupplyPa, 200e5)+10e5*by) }},
		{"supply-volume", "supply volume", "50 L", "volume of the supply cylinder",
			func(d *Day, _ quantity.System) string { return known(d.SupplyM3, litres) },
			parsed(func(d *Day, x float64) { d.SupplyM3 = x }, quantity.ParseVolume, 1e-4, 100, "a volume from 0.1 to 100000 L", "50 L"),
			func(d *Day, by float64) { d.SupplyM3 = math.Max(1e-3, or(d.SupplyM3, 0.05)+5e-3*by) }},
		{"supply-gas", "supply gas", "15 °C", "gas as it comes into the vessel, where somebody measures it",
			func(d *Day, u quantity.System) string { return known(d.SupplyK, u.Temperature) },
			parsed(func(d *Day, x float64) { d.SupplyK = x }, quantity.ParseTemperature, 200, 360, "gas from -73 to 87 °C", "15 °C"),
			func(d *Day, by float64) { d.SupplyK = or(d.SupplyK, d.Air.Value) + by }},
		{"water", "water inside", "1 L", "liquid water in the vessel (without: the profile's)",
			func(d *Day, _ quantity.System) string { return known(d.WaterM3, litres) },
			parsed(func(d *Day, x float64) { d.WaterM3 = x }, quantity.ParseVolume, 0, 100, "a volume of water", "1 L"),
			func(d *Day, by float64) { d.WaterM3 = math.Max(0, or(d.WaterM3, 0)+0.25e-3*by) }},
		{"tested", "cold test", "60 bar at 18 °C", "hydrostatic test: its pressure, and the wall at it",
			func(d *Day, u quantity.System) string {
				if !(d.TestedPa > 0) {
					return ""
				}
				return u.Pressure(d.TestedPa) + " at " + u.Temperature(d.TestedK)
			}, setTested, nil},
	}
}

func minutesText(s float64) string {
	if s < 120 {
		return fmt.Sprintf("%.0f s", s)
	}
	return fmt.Sprintf("%.0f min", s/60)
}

func (d *Day) sunText() string {
	switch d.Light {
	case LightShade:
		return "shade"
	case LightClear:
		return "clear"
	case LightMeasured:
		return fmt.Sprintf("%.0f W/m²", d.SunWM2.Value)
	}
	return ""
}

// stepSun steps a measured sun; below none of it is the shade.
func (d *Day) stepSun(by float64) {
	now := unsaidSun.Value
	switch d.Light {
	case LightMeasured:
		now = d.SunWM2.Value
	case LightShade:
		now = 0
	}
	if next := now + 50*by; next < 50 {
		d.SayShade()
	} else {
		d.SaySun(math.Min(next, sunMostWM2))
	}
}

func (d *Day) dateText() string {
	if d.Date.Year == 0 {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Date.Year, d.Date.Month, d.Date.Day)
}

func (d *Day) airDayText(u quantity.System) string {
	out := ""
	for i, a := range d.AirDay {
		if i > 0 {
			out += ", "
		}
		out += HourText(a.Hour) + " " + u.Temperature(a.K)
	}
	return out
}
