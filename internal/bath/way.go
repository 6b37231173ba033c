package bath

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// Way is how sensors are held against something known.
type Way uint8

// The ways. The first four are for temperatures, the last two for pressure.
const (
	WayShade Way = iota // all probes together in still shade, beside one thermometer
	WayIce              // in melting ice
	WaySteam            // in the steam of boiling water
	WayBath             // in a stirred bath of known temperature
	WayZero             // the vessel vented: zero of the pressure sensor
	WaySpan             // against a reference gauge: a check, no correction
	ways
)

var wayRows = [ways]struct{ name, method, needs string }{
	{"shade", "common still shade", "Hang all probes together in still air in the shade, beside the thermometer."},
	{"ice", "ice point", "Crushed ice with little water, stirred; the probes deep in it, not on its bottom."},
	{"steam", "steam point", "Hold the probes in the steam, clear of the water and of the wall of the pot."},
	{"bath", "stirred bath", "Stir well; the probes close to the reference thermometer, at one depth."},
	{"zero", "pressure zero", "Supply shut, vent open, and a second gauge at zero."},
	{"span", "span check", "Hold a steady pressure and read the reference gauge."},
}

// String is the word that chooses the way: "ice".
func (w Way) String() string { return wayRows[w%ways].name }

// Method is what the offsets file says: "ice point".
func (w Way) Method() string { return wayRows[w%ways].method }

// Needs says what to prepare, in a sentence or two.
func (w Way) Needs() string { return wayRows[w%ways].needs }

// Pressure says whether the way is for the pressure sensor.
func (w Way) Pressure() bool { return w == WayZero || w == WaySpan }

// ParseWay finds a way by its word.
func ParseWay(word string) (Way, error) {
	for w := range ways {
		if wayRows[w].name == word {
			return w, nil
		}
	}
	return 0, fmt.Errorf("there is no way %q; the ways are %s", word, WayList())
}

// WayList names the ways: "shade, ice, …".
func WayList() string {
	names := make([]string, ways)
	for w := range ways {
		names[w] = w.String()
	}
	return strings.Join(names, ", ")
}

// ours says whether a reading belongs to a way. The cold junction sits in the
// logger and can't be put into a bath.
func (w Way) ours(r *probe.Reading) bool {
	if w.Pressure() {
		return r.Role == vessel.RolePressure
	}
	return !r.Kind.Pressure() && r.Role != vessel.RoleColdJunction
}

// Reference is what the sensors are held against: K, or gauge Pa. Value is NaN
// while it is not known yet.
type Reference struct {
	Value float64
	Parts Budget
	Text  string // for the record: "steam at 1013.25 hPa"
}

// How sure the references are, half widths. All are common practice without a
// source; each errs to the wide side, for a field bench is no laboratory.
const (
	iceHalfK       = 0.1   // ice made of tap water, not quite stirred
	steamHalfK     = 0.15  // steam that is not quite still or pure
	bathHalfK      = 0.1   // places in a stirred bath
	shadeHalfK     = 0.2   // places in still air, side by side
	weatherHalfPa  = 2000  // of the standard atmosphere at an altitude
	barometerPa    = 200   // of a barometer's or a weather station's reading
	coldHalfK      = 0.25  // the cold junction between this day and the next
	thermometerK   = 0.5   // of a thermometer whose accuracy nobody typed
	ventedHalfPa   = 500   // an open vessel is at the air's pressure
	gaugeHalfShare = 0.016 // of the reading of a gauge whose accuracy nobody typed
)

// Thermometer is a typed temperature in still shade; halfK is how far the
// thermometer may be off, NaN if nobody knows.
func Thermometer(valueK, halfK float64) Reference {
	return Reference{valueK, Budget{{"reference thermometer", within(or(halfK, thermometerK)), known}, {"place", within(shadeHalfK), known}},
		fmt.Sprintf("thermometer %.2f °C ± %.2f", valueK-zeroCK, or(halfK, thermometerK))}
}

// Stirred is a typed bath temperature.
func Stirred(valueK, halfK float64) Reference {
	return Reference{valueK, Budget{{"reference thermometer", within(or(halfK, thermometerK)), known}, {"place", within(bathHalfK), known}},
		fmt.Sprintf("bath %.2f °C ± %.2f", valueK-zeroCK, or(halfK, thermometerK))}
}

// Ice is melting ice, 0 °C by its first definition (ASTM E563).
func Ice() Reference {
	return Reference{zeroCK, Budget{{"ice", within(iceHalfK), known}}, "melting ice"}
}

// Steam is steam at an absolute barometric pressure in pascal.
func Steam(absPa float64) Reference {
	return steam(absPa, barometerPa, fmt.Sprintf("steam at %.1f hPa", absPa/100))
}

// SteamAt is steam at an altitude in metre, in the standard atmosphere.
func SteamAt(altitudeM float64) Reference {
	pa := StandardPa(altitudeM)
	return steam(pa, weatherHalfPa, fmt.Sprintf("steam at %.0f m altitude, %.0f hPa by the standard atmosphere", altitudeM, pa/100))
}

func steam(absPa, halfPa float64, text string) Reference {
	sensitivity := (BoilingK(absPa+10) - BoilingK(absPa-10)) / 20
	return Reference{BoilingK(absPa), Budget{{"air pressure", within(halfPa * sensitivity), known}, {"steam", within(steamHalfK), known}}, text}
}

// Vented is a vessel that stands open.
func Vented() Reference {
	return Reference{0, Budget{{"vented vessel", within(ventedHalfPa), known}}, "vessel vented"}
}

// Gauge is the typed reading of a reference gauge, gauge Pa; halfPa is how far
// it may be off, NaN if nobody knows (then 1.6 % of the reading).
func Gauge(valuePa, halfPa float64) Reference {
	half := or(halfPa, gaugeHalfShare*math.Abs(valuePa))
	return Reference{valuePa, Budget{{"reference gauge", within(half), known}},
		fmt.Sprintf("gauge %.2f bar ± %.2f", valuePa/1e5, half/1e5)}
}

// Checked refuses a reference that can't be.
func (r Reference) Checked(w Way) error {
	switch {
	case math.IsNaN(r.Value) && w == WaySteam:
		return fmt.Errorf("water does not boil there: the air pressure must lie between 6 hPa and 220 bar, the altitude between −1000 and 11000 m")
	case w == WaySteam && (r.Value < zeroCK+70 || r.Value > zeroCK+110):
		return fmt.Errorf("steam would have %.1f °C: check the air pressure; on a mountain of 5000 m it is 540 hPa", r.Value-zeroCK)
	case !w.Pressure() && (r.Value < zeroCK-60 || r.Value > zeroCK+250):
		return fmt.Errorf("a reference of %.1f °C is outside of −60 to 250 °C, where these probes work", r.Value-zeroCK)
	case w == WaySpan && !(r.Value > 0):
		return fmt.Errorf("a span check at %.2f bar says nothing: it needs a pressure above zero", r.Value/1e5)
	}
	return nil
}

func or(x, otherwise float64) float64 {
	if math.IsNaN(x) {
		return otherwise
	}
	return x
}

const zeroCK = 273.15
