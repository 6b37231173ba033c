package plan

import (
	"fmt"
	"math"

	"fillwright/internal/thermal"
)

// DayError says what of a day does not go together, and what to say instead.
type DayError struct{ What, Do string }

// Error is one line for what is wrong and one for what to do.
func (e *DayError) Error() string { return e.What + "\n  " + e.Do }

// Sound refuses a setup whose parts do not go together.
func (s *Setup) Sound() error {
	d, v := &s.Day, s.Vessel
	switch {
	case d.Light == LightClear && !d.PlaceSaid:
		return &DayError{"a clear sky needs a place", `say where: --place "47.5, 9.7"`}
	case d.Light == LightClear && d.Date.Year == 0:
		return &DayError{"a clear sky needs a date", "say when: --date 2026-07-14 --time 14:30"}
	case d.Light == LightClear && math.IsNaN(d.Hour):
		return &DayError{"a clear sky needs a time of day", "say when: --time 14:30"}
	case d.Light == LightClear && d.Sun().HeightRad <= 0:
		return &DayError{fmt.Sprintf("at %s of that day the sun is under the horizon there", HourText(d.Hour)),
			"check --place, --date, --time and --utc; for the night say: --sun shade"}
	case d.TargetPa > float64(v.Limits.Pressure):
		return &DayError{fmt.Sprintf("the target %.4g bar is over the vessel's pressure limit of %.4g bar", d.TargetPa/1e5, float64(v.Limits.Pressure)/1e5),
			"say a lower --target"}
	case d.WaterM3 >= 0.95*float64(v.Volume):
		return &DayError{fmt.Sprintf("%.3g L of water leave no room for gas in %.3g L", 1e3*d.WaterM3, 1e3*float64(v.Volume)), "say less --water"}
	case len(d.AirDay) > 0 && math.IsNaN(d.Hour):
		return &DayError{"the air over the day needs the hour of the fill", "say when: --time 14:30"}
	}
	for _, r := range []struct {
		side string
		k    float64
	}{{"sunny", d.WallSunK}, {"shaded", d.WallShadeK}} {
		if !math.IsNaN(r.k) && !thermal.ReadingPossible(r.k, d.Air.Value, math.NaN()) {
			return &DayError{fmt.Sprintf("a %s side at %.0f °C can't be in air of %.0f °C", r.side, r.k-273.15, d.Air.Value-273.15),
				"check the reading and its unit, and --air"}
		}
	}
	return nil
}
