// Package plan answers before the day, with the model of the live screen: whether
// a vessel can be filled at that hour, how fast, how long it may stand, and which
// remedy buys most.
package plan

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/weather"
)

// Figure is a number of the day: its value and one sigma, and whether somebody
// said it. What nobody said has a wide sigma.
type Figure struct {
	Value, Sigma float64
	Said         bool
}

// Light is how the day's sunlight is told.
type Light uint8

// The ways. Unsaid covers an overcast sky to full sun.
const (
	LightUnsaid   Light = iota
	LightShade          // the vessel stands in the shade and stays there
	LightMeasured       // W/m² on a face square to the sun
	LightClear          // a clear sky at a place and time
)

// AirAt is the air at an hour of the day, local time.
type AirAt struct{ Hour, K float64 }

// Day is what is known of the day, the vessel on its pad and the supply. SI;
// pressures are gauge; NaN is not said.
type Day struct {
	Air         Figure // K, at Hour
	Wind        Figure // m/s; its sigma is of the logarithm
	Humidity    Figure // 0 to 1
	Absorptance Figure
	StandS      Figure // in this light before the first gas; its sigma is of the logarithm
	Around      Figure // conduction round the wall over the handbook's; its sigma is of the logarithm

	Light     Light
	SunWM2    Figure // of LightMeasured
	Place     weather.Place
	PlaceSaid bool
	Date      weather.Moment // the day; its hour is not used
	Hour      float64        // local time, 0 to 24; NaN: not said
	UTCHours  float64        // local time less universal time; NaN: by the longitude
	Heading   float64        // of a lying vessel's axis, radian from north eastward; NaN
	AirDay    []AirAt        // the air over the day, by hour; none: a usual day's swing

	WallSunK, WallShadeK float64                 // contact readings before the first gas
	Reread               [thermal.SidesMost]bool // sides that will be read again, under a remedy

	SupplyPa, SupplyM3 float64 // of the supply cylinder
	SupplyK            float64 // gas as it comes, at the vessel's inlet
	ColderK            float64 // a remedy: gas colder by so much than it would come

	TargetPa float64
	HoldS    float64
	WaterM3  float64

	TestedPa, TestedK float64 // of a hydrostatic test, and its wall
	WrapKgM2          float64 // water in a wet wrap; 0: none
	LeftK             float64 // what a wall that was warmer before still stands above the air; it fades
}

// What is taken where nobody said it. Common practice, no source; the sun's
// 500 ± 350 W/m² are those of the live estimate.
var (
	unsaidAir      = Figure{Value: 298.15, Sigma: 7}
	unsaidWind     = Figure{Value: 1.5, Sigma: 0.7}
	unsaidHumidity = Figure{Value: 0.5, Sigma: 0.2}
	unsaidPaint    = Figure{Value: 0.4, Sigma: 0.25}
	unsaidSun      = Figure{Value: 500, Sigma: 350}
	unsaidStand    = Figure{Value: 900, Sigma: 0.7}
)

// How well what somebody said is known, one sigma. Air: between thermometer and
// pad, and until the fill. Wind: gusts and shelter (×/÷ 2 of the wind is ×/÷ 1.5
// of the film, two sigma). Paint: white ages from 0.17 to 0.34 (US EPA AP-42, from
// memory). Sun: a pyranometer of ISO 9060's second class has 20 % of an hour's total
// at 95 % (WMO, Guide to Instruments), and a sky may be not quite clear. Infrared:
// the loss to a clear sky, up to 63 W/m² (ASHRAE), is in the gains; clouds may take
// any part of its 3.7 K back, one sigma 1.1 K, and ground up to 20 K over the air, seen
// with half of a wall, adds 0.9 K. The rest is common practice, no source.
const (
	saidAirK      = 1.5
	saidWind      = 0.35
	saidHumidity  = 0.07
	saidPaint     = 0.08
	saidSun       = 0.10
	clearSun      = 0.15
	saidStand     = 0.15
	headingSigma  = 0.2 // of a lying vessel's beam, where nobody said how it lies
	skySigmaK     = 1.1 // infrared of the sky beside the clear one's
	groundSigmaK  = 0.9 // and of the ground that a side sees
	filmSigma     = 0.15
	shadeWM2      = 60.0 // that finds its way into a shade
	swingK        = 10.0 // of the air between night and afternoon
	warmestHour   = 15.0
	leastWindMS   = 0.1
	wrapSigmaK    = 1.5 // of a wall under a wet wrap
	readingSigmaK = 0.75
	aroundSigma   = 0.3 // of conduction round the wall
)

// NewDay is a day of which nothing is said.
func NewDay() Day {
	nan := math.NaN()
	return Day{
		Air: unsaidAir, Wind: unsaidWind, Humidity: unsaidHumidity, Absorptance: unsaidPaint, StandS: unsaidStand, SunWM2: unsaidSun, Around: Figure{Value: 1, Sigma: aroundSigma},
		Hour: nan, UTCHours: nan, Heading: nan, WallSunK: nan, WallShadeK: nan, SupplyPa: nan, SupplyM3: nan, SupplyK: nan,
		TargetPa: nan, HoldS: nan, WaterM3: nan, TestedPa: nan, TestedK: nan,
	}
}

// SayAir and the like are what somebody said.
func (d *Day) SayAir(k float64) { d.Air = Figure{k, saidAirK, true} }

// SayWind takes a wind in m/s.
func (d *Day) SayWind(ms float64) { d.Wind = Figure{math.Max(ms, leastWindMS), saidWind, true} }

// SayHumidity takes a relative humidity, 0 to 1.
func (d *Day) SayHumidity(share float64) { d.Humidity = Figure{share, saidHumidity, true} }

// SayAbsorptance takes that of the finish, 0 to 1.
func (d *Day) SayAbsorptance(share float64) { d.Absorptance = Figure{share, saidPaint, true} }

// SayStand takes how long the vessel stands in this light before the first gas.
func (d *Day) SayStand(s float64) { d.StandS = Figure{s, saidStand, true} }

// SaySun takes what was measured on a face square to the sun, W/m².
func (d *Day) SaySun(wm2 float64) {
	d.Light, d.SunWM2 = LightMeasured, Figure{wm2, math.Max(saidSun*wm2, 20), true}
}

// SayShade takes the vessel into the shade.
func (d *Day) SayShade() { d.Light, d.SunWM2 = LightShade, Figure{shadeWM2, shadeWM2 / 2, true} }

// SayClear takes a clear sky at a place, day and hour.
func (d *Day) SayClear() { d.Light, d.SunWM2 = LightClear, Figure{1, clearSun, true} }

// at is the day at another hour: the air follows its course, the sun its way.
func (d Day) at(hour float64) Day {
	d.Air.Value += d.airMoreK(hour)
	d.Hour = hour
	return d
}

// airMoreK is how much warmer the air is at an hour than at the day's own.
func (d *Day) airMoreK(hour float64) float64 {
	if len(d.AirDay) > 0 {
		return d.airDayK(hour) - d.airDayK(d.Hour)
	}
	swing := func(h float64) float64 { return 0.5 * swingK * math.Cos((h-warmestHour)*math.Pi/12) }
	return swing(hour) - swing(d.Hour)
}

// airDayK is the air's course at an hour, in a straight line between those said.
func (d *Day) airDayK(hour float64) float64 {
	list := d.AirDay
	if hour <= list[0].Hour {
		return list[0].K
	}
	for i := 1; i < len(list); i++ {
		if a, b := list[i-1], list[i]; hour <= b.Hour {
			return a.K + (b.K-a.K)*(hour-a.Hour)/(b.Hour-a.Hour)
		}
	}
	return list[len(list)-1].K
}

// moment is the day's hour in universal time.
func (d *Day) moment() weather.Moment {
	m := d.Date
	utc := d.UTCHours
	if math.IsNaN(utc) {
		utc = math.Round(d.Place.LongitudeDeg / 15)
	}
	m.HourUTC = d.Hour - utc
	return m
}

// Sun is where the sun stands on a clear day.
func (d *Day) Sun() weather.Sun { return weather.SunAt(d.Place, d.moment()) }
