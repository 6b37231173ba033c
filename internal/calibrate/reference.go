package calibrate

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/quantity"
)

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

// Typed is what the operator gave of the reference, with units.
type Typed struct {
	Value    string // temperature, air pressure, altitude or gauge reading, after the method; empty: not yet
	Accuracy string // how far the reference may be off; empty: not known
}

// Reference makes a method's reference of what was typed; one that can't be is
// refused. Nothing typed gives one that is not known yet.
func (y Typed) Reference(m Method) (Reference, error) {
	half, err := y.half(m)
	if err != nil {
		return Reference{}, err
	}
	r, err := y.read(m, half)
	if err == nil && !(math.IsNaN(r.Value) && r.Text == "") {
		err = r.check(m)
	}
	return r, err
}

// read makes the reference; its Text is empty while nothing was typed.
func (y Typed) read(m Method, half float64) (Reference, error) {
	text := strings.TrimSpace(y.Value)
	switch {
	case m == MethodIce: // 0 °C by its first definition (ASTM E563)
		return Reference{zeroCK, Budget{{"ice", within(iceHalfK), known}}, "melting ice"}, nil
	case m == MethodZero:
		return Reference{0, Budget{{"vented vessel", within(ventedHalfPa), known}}, "vessel vented"}, nil
	case text == "" && m.Pressure() || text == "" && m == MethodSteam:
		return Reference{Value: math.NaN()}, nil
	case m == MethodSteam:
		return readSteam(text)
	case m == MethodSpan:
		p, err := quantity.ParsePressure(text)
		half = or(half, gaugeHalfShare*math.Abs(float64(p)))
		return Reference{float64(p), Budget{{"reference gauge", within(half), known}},
			fmt.Sprintf("gauge %.2f bar ± %.2f", p/1e5, half/1e5)}, err
	}
	name, place := "thermometer", shadeHalfK
	if m == MethodBath {
		name, place = "bath", bathHalfK
	}
	half = or(half, thermometerK)
	r := Reference{math.NaN(), Budget{{"reference thermometer", within(half), known}, {"place", within(place), known}}, ""}
	if text == "" { // a thermometer beside the probes has these parts too
		return r, nil
	}
	t, err := quantity.ParseTemperature(text)
	r.Value, r.Text = float64(t), fmt.Sprintf("%s %.2f °C ± %.2f", name, t-zeroCK, half)
	return r, err
}

// readSteam reads an absolute air pressure, or an altitude, which means the
// standard atmosphere.
func readSteam(text string) (Reference, error) {
	var absPa, halfPa float64
	var name string
	if h, err := quantity.ParseLength(text); err == nil {
		absPa, halfPa = StandardPa(float64(h)), weatherHalfPa
		name = fmt.Sprintf("steam at %.0f m altitude, %.0f hPa by the standard atmosphere", h, absPa/100)
	} else if p, err := quantity.ParsePressure(text); err == nil {
		absPa, halfPa = float64(p), barometerPa
		name = fmt.Sprintf("steam at %.1f hPa", absPa/100)
	} else {
		return Reference{}, fmt.Errorf("%q is neither an air pressure nor an altitude; type for example: 1002 hPa, or 250 m", text)
	}
	sensitivity := (BoilingK(absPa+10) - BoilingK(absPa-10)) / 20
	return Reference{BoilingK(absPa), Budget{{"air pressure", within(halfPa * sensitivity), known}, {"steam", within(steamHalfK), known}}, name}, nil
}

// half reads how far the reference may be off, K or Pa; NaN where nothing was
// typed.
func (y Typed) half(m Method) (half float64, err error) {
	example := "0.2 °C"
	switch {
	case y.Accuracy == "":
		return math.NaN(), nil
	case m.Pressure():
		var p quantity.Pressure
		p, err = quantity.ParsePressure(y.Accuracy)
		half, example = float64(p), "0.4 bar"
	default:
		var d quantity.Difference
		d, err = quantity.ParseDifference(y.Accuracy)
		half = float64(d)
	}
	if err == nil && half < 0 {
		err = fmt.Errorf("an accuracy of %q makes no sense; type for example: %s", y.Accuracy, example)
	}
	return half, err
}

// check refuses a reference that can't be.
func (r *Reference) check(m Method) error {
	switch {
	case math.IsNaN(r.Value) && m == MethodSteam:
		return fmt.Errorf("water does not boil there: the air pressure must lie between 6 hPa and 220 bar, the altitude between −1000 and 11000 m")
	case m == MethodSteam && (r.Value < zeroCK+70 || r.Value > zeroCK+110):
		return fmt.Errorf("steam would have %.1f °C: check the air pressure; on a mountain of 5000 m it is 540 hPa", r.Value-zeroCK)
	case !m.Pressure() && (r.Value < zeroCK-60 || r.Value > zeroCK+250):
		return fmt.Errorf("a reference of %.1f °C is outside of −60 to 250 °C, where these probes work", r.Value-zeroCK)
	case m == MethodSpan && !(r.Value > 0):
		return fmt.Errorf("a span check at %.2f bar says nothing: it needs a pressure above zero", r.Value/1e5)
	}
	return nil
}

// WithUnit is what was typed of a reference, its accuracy or a reading, with the
// unit that is meant where a bare number was typed: that of the shown units.
// Steam keeps its bare numbers, which may be air pressures or altitudes.
func WithUnit(m Method, typed string, u quantity.System, accuracy bool) string {
	switch {
	case strings.TrimSpace(typed) == "" || m == MethodSteam && !accuracy:
	case m.Pressure():
		if p, err := u.ParsePressure(typed); err == nil {
			return p.String()
		}
	case accuracy:
		if d, err := u.ParseDifference(typed); err == nil {
			return d.String()
		}
	default:
		if t, err := u.ParseTemperature(typed); err == nil {
			return t.String()
		}
	}
	return typed // refused with its own words where it is read
}

func or(x, otherwise float64) float64 {
	if math.IsNaN(x) {
		return otherwise
	}
	return x
}

const zeroCK = 273.15
