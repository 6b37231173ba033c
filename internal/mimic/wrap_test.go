package mimic

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// wrapped is a vessel under a wet wrap in still weather, vented and left alone.
func wrapped(t *testing.T, set func(*Truth), forS float64) []Row {
	t.Helper()
	return run(t, vessel.Invented(), Scene{
		Name: "wrapped", Plan: []Segment{{Do: Open, ForS: forS}}, ForS: forS,
		Set: func(tr *Truth) {
			tr.Weather = Weather{AmbientK: 313.15, Humidity: 0.14, WindMS: 3}
			tr.WrapKgM2, tr.Emittance, tr.AmbientPa = 1, 0, 101325
			set(tr)
		},
	}, Options{ForS: forS})
}

// TestWrapIsAWetBulb proves that a wet skin that neither sun nor sky reaches comes
// to the wet bulb: 40 °C and 14 % at one atmosphere is 20 °C (ASHRAE Fundamentals,
// psychrometrics, example 1, from memory).
func TestWrapIsAWetBulb(t *testing.T) {
	rows := wrapped(t, func(*Truth) {}, 300)
	must.Near(t, "wet bulb, °C", rows[len(rows)-1].HottestK-273.15, 20, 0.6)
}

// TestWrapDries proves that a wrap is worth nothing once its water is gone, and that
// it goes as fast as a table worked out apart from this code has it: in air of 35 °C
// and 20 % at 1 m/s with 540 W/m² taken up, 0.4 kg/m² last 27 minutes and the wall
// stands at 31 °C.
func TestWrapDries(t *testing.T) {
	rows := wrapped(t, func(tr *Truth) {
		tr.Weather = Weather{AmbientK: 308.15, Humidity: 0.20, WindMS: 1, SunWM2: 600, SunHighRad: 0.7}
		tr.WrapKgM2, tr.Emittance, tr.Absorptance = 0.4, 0.9, 0.9
	}, 3600)
	must.Near(t, "wet, °C", rows[len(rows)/10].HottestK-273.15, 31, 3)
	dryS := 0.0
	for _, r := range rows {
		if dryS == 0 && r.HottestK > rows[len(rows)/10].HottestK+8 {
			dryS = r.TimeS
		}
	}
	must.Near(t, "dry after, min", dryS/60, 29, 6) // 8 K more take a minute or two besides
	end := rows[len(rows)-1].HottestK - 308.15
	must.Be(t, end > 15, "a dry wrap in the sun stands %.1f K above the air", end)
}
